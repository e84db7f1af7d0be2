"""Takes back the pupils, names and moves of a file."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from tracker.actions.errors import Refused
from tracker.actions.imports.roster_rows import NAMES, PLACE
from tracker.models import Attempt, ChangeRecord, ClassGroup, Enrolment, ImportBatch, Pupil
from tracker.queries.names import sort_name


def undo_roster(batch: ImportBatch) -> None:
    made = list(Pupil.objects.filter(school=batch.school, public_id__in=batch.trail["pupils"]))
    changed = batch.trail["changed"]
    _refuse_changed(batch, [*batch.trail["pupils"], *(line["pupil"] for line in changed)])
    _refuse_built_on(made)
    _refuse_sat_since(changed)
    Enrolment.objects.filter(public_id__in=[line["begun"] for line in changed if line["begun"]]).delete()
    Pupil.objects.filter(pk__in=[pupil.pk for pupil in made]).delete()
    _restore_names(batch, changed)
    _restore_places(batch, [line for line in changed if "place" in line])
    # A class that was given a teacher, a check or other pupils since stays.
    ClassGroup.objects.filter(
        public_id__in=batch.trail["classes"], enrolments__isnull=True, checks__isnull=True, teachings__isnull=True
    ).delete()


def _refuse_changed(batch: ImportBatch, pupils: list[str]) -> None:
    loaded = ChangeRecord.objects.get(action="load-file", subject="import", subject_key=batch.public_id)
    later = ChangeRecord.objects.filter(pk__gt=loaded.pk, pupil_key__in=pupils, subject__in=["pupil", "enrolment"])
    if later.exists():
        raise Refused(_("Pupils of this file were changed or moved since, so it can’t be undone."))


def _refuse_built_on(pupils: Iterable[Pupil]) -> None:
    """Whatever else hangs on a pupil would be deleted along, so nothing may."""
    keys = [pupil.pk for pupil in pupils]
    if Attempt.objects.filter(pupil__in=keys).exists():
        raise Refused(_("Pupils of this file have checks by now, so it can’t be undone."))
    for relation in Pupil._meta.related_objects:
        model = relation.field.model
        if model not in (Attempt, Enrolment) and model._default_manager.filter(**{f"{relation.field.name}__in": keys}):
            raise Refused(_("Something was recorded about pupils of this file since, so it can’t be undone."))


def _refuse_sat_since(changed: Iterable[dict[str, Any]]) -> None:
    """A check in the new class would be left without its pupil."""
    begun = {line["begun"]: line["pupil"] for line in changed if line["begun"]}
    for place in Enrolment.objects.filter(public_id__in=begun):
        sat = Attempt.objects.filter(pupil=place.pupil_id, class_group=place.class_group_id)
        if sat.filter(check_sat__on__gte=place.starts).exists():
            raise Refused(_("Pupils whom this file moved have checks in the new class, so it can’t be undone."))


def _restore_names(batch: ImportBatch, changed: list[dict[str, Any]]) -> None:
    pupils = {pupil.public_id: pupil for pupil in Pupil.objects.filter(school=batch.school)}
    restored = []
    for line in changed:
        pupil = pupils.get(line["pupil"])
        if pupil is not None:
            pupil.given_name, pupil.family_name = line["given_name"], line["family_name"]
            pupil.sort_name = sort_name(pupil.given_name, pupil.family_name)
            pupil.left_on = _day(line["left_on"])
            restored.append(pupil)
    Pupil.objects.bulk_update(restored, NAMES)


def _restore_places(batch: ImportBatch, moved: list[dict[str, Any]]) -> None:
    groups = {group.public_id: group for group in ClassGroup.objects.filter(school=batch.school)}
    lines = {line["place"]: line for line in moved}
    places = list(Enrolment.objects.filter(school=batch.school, public_id__in=lines))
    for place in places:
        line = lines[place.public_id]
        place.class_group, place.grade, place.ends = groups[line["class"]], line["grade"], _day(line["ends"])
    Enrolment.objects.bulk_update(places, PLACE)


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
