"""Corrects a score of a closed check: the old value, who and why are kept, and what rested on it is judged again."""

from datetime import date

from django.db import transaction
from django.utils.translation import gettext as _

from tracker.access import scopes
from tracker.access.permissions import acting
from tracker.access.viewer import Viewer
from tracker.actions import answers
from tracker.actions.errors import Refused
from tracker.actions.locks import hold_check, hold_row
from tracker.actions.reach import demand
from tracker.actions.record import note_change
from tracker.actions.rerun import rerun
from tracker.actions.saved import SaveResult, change_of, result_of, write_entry
from tracker.actions.typed import Typed, entry_of, read
from tracker.models import Attempt, Check

LONGEST_WHY = 300


@transaction.atomic
def correct_row(
    *, check_id: str, attempt_id: str, typed: Typed, why: str, base_version: int, by: Viewer, on: date
) -> SaveResult:
    """A day on record or a flag that would not stand with the right score is taken back; a correction that was made
    from an older version of the row is refused, since two people can't correct one score without talking."""
    demand(by, "correct-scores")
    check = hold_check(scopes.checks(acting(by, "correct-scores")), check_id)
    row = hold_row(check, attempt_id, by=by)
    why = _refuse(check, typed, has_answers=row.has_answers, why=why)
    entry = read(typed, row, year=check.year, items=answers.running_digits(typed, row), on=on)
    before = entry_of(row)
    if entry == before:
        return result_of(row, "same", answers.answer_row(row, check=check, by=by, on=on))
    if not write_entry(row, entry, base_version, by=by):
        raise Refused(_("Somebody changed this score since you opened it; look at it again before you correct it."))
    note_change(change_of("correct-score", row, before, why=why), by=by, on=on)
    rerun(check, row, by=by, on=on)
    row = hold_row(check, attempt_id, by=by)
    return result_of(row, "saved", answers.answer_row(row, check=check, by=by, on=on, typed=typed))


def _refuse(check: Check, typed: Typed, *, has_answers: bool, why: str) -> str:
    if check.state == Check.State.OPEN:
        raise Refused(_("This check is still open; type the score into its row."))
    if has_answers:
        raise Refused(_("This row is counted from the answers that were entered; change the answers instead."))
    if typed.status == Attempt.Status.DUE:
        raise Refused(_("In a closed check no row can be due again; choose “not given”."), "status")
    if not why.strip():
        raise Refused(_("Say why the score is corrected."), "why")
    if len(why.strip()) > LONGEST_WHY:
        raise Refused(_("Say it in at most %(most)s characters.") % {"most": LONGEST_WHY}, "why")
    return why.strip()
