"""Saves one row of a check; nothing typed is lost, nothing is stored twice."""

from dataclasses import replace
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.actions import answers
from tracker.actions.conflicts import settle_conflict
from tracker.actions.errors import Refused
from tracker.actions.locks import hold_check, hold_row
from tracker.actions.reach import demand
from tracker.actions.record import Change, note_change
from tracker.actions.saved import SaveResult, change_of, result_of, shown, write_entry
from tracker.actions.typed import Entry, Typed, entry_of, read
from tracker.models import Attempt, Check, Conflict, SaveKey

__all__ = ["SaveResult", "Typed", "save_row", "settle_conflict"]

# A key is short; a longer one comes from no page of ours.
LONGEST_KEY = 40


@transaction.atomic
def save_row(
    *, check_id: str, attempt_id: str, typed: Typed, key: str, base_version: int, by: Viewer, on: date
) -> SaveResult:
    """`key` names this save for ever: the same key of the same person gives back the stored result."""
    demand(by, "enter-scores")
    if not 0 < len(key) <= LONGEST_KEY:
        raise Refused(_("This page is out of date; load it again and type the row once more."))
    check = hold_check(scopes.checks_to_enter(by), check_id)
    row = hold_row(check, attempt_id, by=by, key=key)
    if row.stored is not None:
        return _stored(row)
    _refuse_locked(check, row)
    entry = read(typed, row, year=check.year, items=answers.running_digits(typed, row), on=on)
    result = _decide(row, entry, typed, base_version=base_version, check=check, by=by, on=on)
    _keep(row, key, result, by=by)
    return result


def _stored(row: Any) -> SaveResult:
    if row.stored_for != row.pk:
        raise Refused(_("This page is out of date; load it again and type the row once more."))
    result = SaveResult(**{**row.stored, "left": row.due_left or 0})
    return result if result.state == "conflict" else replace(result, state="same")


def _refuse_locked(check: Check, row: Any) -> None:
    if check.state == Check.State.CLOSED:
        raise Refused(
            _("This check is closed. A teacher of the class can still correct a score: open the check and the row.")
        )
    if row.has_answers:
        raise Refused(_("This row is counted from the answers that were entered; change the answers instead."))


def _decide(
    row: Any, entry: Entry, typed: Typed, *, base_version: int, check: Check, by: Viewer, on: date
) -> SaveResult:
    before = entry_of(row)
    if entry == before or (row.version != base_version and entry.says_the_same(before)):
        return result_of(row, "same", answers.answer_row(row, check=check, by=by, on=on, typed=typed))
    if not write_entry(row, entry, base_version, by=by):
        return _conflict(row, entry, base_version, check=check, by=by, on=on)
    answer = answers.refresh_row(row, check=check, by=by, on=on, typed=typed)
    note_change(change_of("save-score", row, before), by=by, on=on)
    return result_of(row, "saved", answer)


def _conflict(row: Any, entry: Entry, base_version: int, *, check: Check, by: Viewer, on: date) -> SaveResult:
    """The row stays as the other person left it; what was typed waits beside it for both to decide."""
    kept = Conflict.objects.create(
        school_id=row.school_id,
        attempt=row,
        base_version=base_version,
        kept=entry_of(row).as_json(),
        lost=entry.as_json(),
        kept_by_id=row.entered_by_id,
        lost_by=by.user,
        at=timezone.now(),
    )
    note_change(
        Change("conflict", "attempt", row.public_id, row.pupil.public_id, before=kept.kept, after=kept.lost),
        by=by,
        on=on,
    )
    result = result_of(row, "conflict", answers.answer_row(row, check=check, by=by, on=on))
    return replace(result, conflict_id=kept.public_id, lost=shown(kept.lost))


def _keep(row: Attempt, key: str, result: SaveResult, *, by: Viewer) -> None:
    SaveKey.objects.create(
        school_id=row.school_id, user=by.user, attempt=row, key=key, result=result.as_json(), at=timezone.now()
    )
