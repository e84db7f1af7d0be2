"""Takes back the scores of a file, with the recorded days and flags that rested on them."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.settling import unsettle_pairs
from tracker.actions.typed import Entry
from tracker.models import Answer, Attempt, Check, Flag, ImportBatch, Intervention, Note, Review

RESTORED = (*Entry.__dataclass_fields__, "sheet", "version", "import_batch", "entered_by", "entered_at")


def undo_scores(batch: ImportBatch, *, by: Viewer, on: date) -> None:
    checks = Check.objects.select_for_update(no_key=True).filter(attempts__import_batch=batch)
    list(checks.order_by("pk").values_list("pk"))
    held = Attempt.objects.select_for_update(no_key=True, of=("self",)).filter(import_batch=batch).order_by("pk")
    attempts = list(held.select_related("check_sat"))
    filled = {line["attempt"]: line for line in batch.trail.get("filled", [])}
    _refuse_changed(attempts, filled)
    _refuse_built_on(batch, attempts)
    _restore([attempt for attempt in attempts if attempt.public_id in filled], filled)
    made = [attempt.pk for attempt in attempts if attempt.public_id not in filled]
    Attempt.objects.filter(pk__in=made).delete()
    Check.objects.filter(
        school=batch.school, public_id__in=batch.trail.get("checks", []), attempts__isnull=True
    ).delete()
    unsettle_pairs(
        school=batch.school,
        pairs={(attempt.pupil_id, attempt.skill_id) for attempt in attempts},
        why=_("The file that this rested on was undone."),
        by=by,
        on=on,
        at=timezone.now(),
    )


def _refuse_changed(attempts: Sequence[Attempt], filled: dict[str, Any]) -> None:
    for attempt in attempts:
        version = filled[attempt.public_id]["version"] if attempt.public_id in filled else 1
        if attempt.version != version:
            raise Refused(_("Scores of this file were corrected since, so it can’t be undone. Correct single scores."))
    if Answer.objects.filter(attempt__in=attempts).exists():
        raise Refused(_("Answers were entered for rows of this file, so it can’t be undone. Correct single scores."))


def _refuse_built_on(batch: ImportBatch, attempts: Sequence[Attempt]) -> None:
    since, pupils = batch.loaded_at, {attempt.pupil_id for attempt in attempts}
    skills = {attempt.skill_id for attempt in attempts}
    about = Q(skill__in=skills) | Q(skill__twin__in=skills)
    seen = Q(state__in=[Flag.State.ACKNOWLEDGED, Flag.State.CLOSED], raised_at__gte=since)
    if Flag.objects.filter(about, seen, pupil__in=pupils).exists():
        raise Refused(_("Somebody has acted on a flag that rests on these scores, so the file can’t be undone."))
    if Note.objects.filter(pupil__in=pupils, on__gte=batch.loaded_on).exists():
        raise Refused(_("A note to a family rests on these scores, so the file can’t be undone."))
    reviews = Review.objects.filter(intervention__pupil__in=pupils, recorded_at__gte=since)
    if reviews.exists() or Intervention.objects.filter(pupil__in=pupils, created_at__gte=since).exists():
        raise Refused(_("A decision about extra teaching rests on these scores, so the file can’t be undone."))


def _restore(attempts: Sequence[Attempt], filled: dict[str, Any]) -> None:
    """Rows of a check get back what they held; the version runs on, so that no old page writes over them."""
    for attempt in attempts:
        before = dict(filled[attempt.public_id]["before"])
        attempt.sheet_id = before.pop("sheet_id")
        for name, value in vars(Entry.from_json(before)).items():
            setattr(attempt, name, value)
        if attempt.status == Attempt.Status.DUE and attempt.check_sat.state == Check.State.CLOSED:
            attempt.status = Attempt.Status.NOT_GIVEN
        attempt.version += 1
        attempt.import_batch = attempt.entered_by = attempt.entered_at = None
    Attempt.objects.bulk_update(attempts, RESTORED)
