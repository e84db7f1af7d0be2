"""Writes one row over the version that was seen, and says what the row then shows."""

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone

from tracker.access.viewer import Viewer
from tracker.actions.answers import RowAnswer
from tracker.actions.record import Change
from tracker.actions.typed import Entry, entry_of
from tracker.models import Attempt, SaveKey

SHOWN = ("correct", "wrong", "omitted", "reached", "seconds", "status")


@dataclass(frozen=True)
class SaveResult:
    """What the grid shows for the row. `lost` holds the values that did not win, when two people typed."""

    state: str
    version: int
    values: dict[str, Any]
    rate: float | None
    accuracy: float | None
    stage: str
    doubt: dict[str, str] | None
    left: int
    conflict_id: str = ""
    lost: dict[str, Any] | None = None

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def write_entry(row: Attempt, entry: Entry, base_version: int, *, by: Viewer) -> bool:
    """Writes only over the version that was seen, and says whether it did."""
    entered = {**vars(entry), "version": base_version + 1, "entered_by": by.user, "entered_at": timezone.now()}
    if not Attempt.objects.filter(pk=row.pk, version=base_version).update(**entered):
        return False
    for name, value in entered.items():
        setattr(row, name, value)
    return True


def forget_keys(*, before: datetime) -> int:
    """Keys of saves that no browser can repeat any more: unsent rows are kept for seven days."""
    return SaveKey.objects.filter(at__lt=before).delete()[0]


def change_of(action: str, row: Attempt, before: Entry, *, why: str = "") -> Change:
    return Change(
        action,
        "attempt",
        row.public_id,
        pupil_key=row.pupil.public_id,
        before=before.as_json(),
        after=entry_of(row).as_json(),
        why=why,
    )


def shown(values: dict[str, Any]) -> dict[str, Any]:
    return {name: values[name] for name in SHOWN}


def result_of(row: Any, state: str, answer: RowAnswer) -> SaveResult:
    due = Attempt.Status.DUE
    return SaveResult(
        state=state,
        version=row.version,
        values=shown(vars(row)),
        rate=answer.rate,
        accuracy=answer.accuracy,
        stage=answer.stage,
        doubt=answer.doubt.as_json() if answer.doubt else None,
        left=(row.due_left or 0) + (row.status == due) - row.was_due,
    )
