"""Undoes an import while nothing rests on it."""

from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.permissions import may
from tracker.access.viewer import Viewer
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.record import Change, note_change
from tracker.actions.settling import unsettle_pairs
from tracker.models import (
    Attempt,
    Check,
    ClassGroup,
    Enrolment,
    Flag,
    ImportBatch,
    Intervention,
    Note,
    Pupil,
    Review,
)
from tracker.queries.names import sort_name


@transaction.atomic
def undo(*, batch_id: str, by: Viewer, on: date) -> None:
    """Takes back what a file brought. Refused where a person has built on it."""
    batch = ImportBatch.objects.select_for_update().filter(school=by.school, public_id=batch_id).first()
    if batch is None or not may(by, "load-data"):
        raise OutOfScope(batch_id)
    if batch.undone_at:
        raise Refused(_("This import was undone before."))
    if batch.kind == ImportBatch.Kind.SCORES:
        _undo_scores(batch, by, on)
    else:
        _undo_roster(batch, on)
    batch.undone_at = timezone.now()
    batch.save(update_fields=["undone_at"])
    note_change(Change("undo-import", "import", batch.public_id), by=by, on=on)


def _undo_scores(batch: ImportBatch, by: Viewer, on: date) -> None:
    attempts = Attempt.objects.filter(import_batch=batch).select_for_update()
    rows = list(attempts.values_list("pk", "public_id", "pupil_id", "skill_id", "version"))
    _refuse_scores(batch, rows)
    pairs = {(pupil, skill) for _pk, _public, pupil, skill, _version in rows}
    filled = batch.trail.get("filled", [])
    Attempt.objects.filter(public_id__in=filled).update(
        status="due", correct=None, wrong=None, omitted=None, seconds=None, import_batch=None, version=0
    )
    attempts.exclude(public_id__in=filled).delete()
    Check.objects.filter(public_id__in=batch.trail.get("checks", []), attempts__isnull=True).delete()
    unsettle_pairs(school=batch.school, pairs=pairs, by=by, on=on, at=timezone.now())


def _refuse_scores(batch: ImportBatch, rows: list[Any]) -> None:
    pupils = {row[2] for row in rows}
    if any(row[4] > 1 for row in rows):
        raise Refused(_("Scores of this file were corrected since. It can no longer be undone; correct single rows."))
    since = Q(pupil__in=pupils, on__gte=batch.loaded_on)
    seen = Flag.objects.filter(pupil__in=pupils, raised_at__gte=batch.loaded_at, state__in=["acknowledged", "closed"])
    if seen.exists():
        raise Refused(_("Somebody has looked at a flag that rests on these scores, so the file can't be undone."))
    if Note.objects.filter(since).exists():
        raise Refused(_("A note to a family rests on these scores, so the file can't be undone."))
    reviews = Review.objects.filter(intervention__pupil__in=pupils, on__gte=batch.loaded_on)
    if reviews.exists() or Intervention.objects.filter(pupil__in=pupils, created_at__gte=batch.loaded_at).exists():
        raise Refused(_("A decision about extra teaching rests on these scores, so the file can't be undone."))


def _undo_roster(batch: ImportBatch, on: date) -> None:
    pupils = Pupil.objects.filter(school=batch.school, public_id__in=batch.trail["pupils"])
    touched = Pupil.objects.filter(public_id__in=[one["pupil"] for one in batch.trail["changed"] if one["begun"]])
    if Attempt.objects.filter(pupil__in=pupils).exists():
        raise Refused(_("Pupils of this file have checks by now, so the file can't be undone."))
    if Attempt.objects.filter(pupil__in=touched, taken_on__gte=batch.loaded_on).exists():
        raise Refused(_("Pupils whom this file moved have checks in the new class, so the file can't be undone."))
    pupils.delete()
    for one in batch.trail["changed"]:
        _restore_pupil(batch, one)
    ClassGroup.objects.filter(
        public_id__in=batch.trail["classes"], enrolments__isnull=True, checks__isnull=True, teachings__isnull=True
    ).delete()


def _restore_pupil(batch: ImportBatch, one: dict[str, Any]) -> None:
    before = one["before"]
    pupil = Pupil.objects.filter(school=batch.school, public_id=one["pupil"]).first()
    if pupil is None:
        return
    pupil.given_name, pupil.family_name = before["given_name"], before["family_name"]
    pupil.sort_name = sort_name(pupil.given_name, pupil.family_name)
    pupil.save(update_fields=["given_name", "family_name", "sort_name"])
    Enrolment.objects.filter(public_id=one["begun"]).delete()
    Enrolment.objects.filter(public_id=one["ended"]).update(ends=None)
    place = before.get("place")
    group = ClassGroup.objects.filter(public_id=place["class"]).first() if place else None
    if place and group:
        Enrolment.objects.create(
            school=batch.school, pupil=pupil, class_group=group, grade=place["grade"], starts=place["starts"]
        )
