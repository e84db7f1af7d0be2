"""Writes the append-only change record."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.utils import timezone

from tracker.access.viewer import Viewer
from tracker.models import ChangeRecord, School


@dataclass(frozen=True)
class Change:
    """One line of the record; `subject_key` and `pupil_key` are public ids."""

    action: str
    subject: str
    subject_key: str
    pupil_key: str = ""
    before: dict[str, Any] | None = None
    after: dict[str, Any] | None = None
    why: str = field(default="")


def note_changes(changes: Iterable[Change], *, by: Viewer | None, on: date, school: School | None = None) -> None:
    """Adds lines in one statement. `by` is None for the daily command, which then names the school."""
    place = by.school if by else school
    at = timezone.now()
    ChangeRecord.objects.bulk_create(
        ChangeRecord(
            school_key=place.pk if place else None,
            recorded_at=at,
            on=on,
            by_key=by.user.pk if by else None,
            action=change.action,
            subject=change.subject,
            subject_key=change.subject_key,
            pupil_key=change.pupil_key,
            before=change.before,
            after=change.after,
            why=change.why,
        )
        for change in changes
    )


def note_change(change: Change, *, by: Viewer | None, on: date, school: School | None = None) -> None:
    note_changes([change], by=by, on=on, school=school)
