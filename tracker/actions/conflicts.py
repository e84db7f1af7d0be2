"""Settles what two people typed for one row."""

from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access import scopes
from tracker.access.permissions import acting, may
from tracker.access.viewer import Viewer
from tracker.actions import answers
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.locks import hold_check, hold_row
from tracker.actions.reach import demand
from tracker.actions.record import Change, note_change
from tracker.actions.rerun import rerun
from tracker.actions.saved import SaveResult, result_of, write_entry
from tracker.actions.typed import Entry
from tracker.models import Check, Conflict


@transaction.atomic
def settle_conflict(*, conflict_id: str, take_lost: bool, by: Viewer, on: date) -> SaveResult:
    """Keeps the row as it is, or writes the values that lost. Said twice the same way, it changes nothing."""
    demand(by, "enter-scores", "correct-scores")
    found = _in_reach(by).filter(public_id=conflict_id).select_related("attempt__check_sat").first()
    if found is None:
        raise OutOfScope
    check = hold_check(Check.objects.filter(school=by.school), found.attempt.check_sat.public_id)
    row = hold_row(check, found.attempt.public_id, by=by)
    conflict = Conflict.objects.select_for_update(no_key=True).get(pk=found.pk)
    if conflict.settled_at is not None:
        return _settled(conflict, row, take_lost, check=check, by=by, on=on)
    _settle(conflict, take_lost, by)
    if take_lost:
        write_entry(row, Entry.from_json(conflict.lost), row.version, by=by)
    answer = answers.refresh_row(row, check=check, by=by, on=on)
    note_change(_change(conflict, row), by=by, on=on)
    if take_lost and check.state == Check.State.CLOSED:
        rerun(check, row, by=by, on=on)
    return result_of(row, "saved", answer)


def _in_reach(by: Viewer) -> Any:
    """Who may type the scores settles; after closing, who may correct them."""
    rows = scopes.conflicts(by).filter(attempt__check_sat__state=Check.State.OPEN)
    if may(by, "correct-scores"):
        rows = rows | Conflict.objects.filter(
            school=by.school, attempt__check_sat__in=scopes.checks(acting(by, "correct-scores"))
        )
    return rows


def _settled(conflict: Conflict, row: Any, take_lost: bool, *, check: Check, by: Viewer, on: date) -> SaveResult:
    if conflict.took_lost != take_lost:
        raise Refused(_("Somebody has settled this already; the row shows the values that were kept."))
    return result_of(row, "same", answers.answer_row(row, check=check, by=by, on=on))


def _settle(conflict: Conflict, take_lost: bool, by: Viewer) -> None:
    conflict.settled_at, conflict.settled_by, conflict.took_lost = timezone.now(), by.user, take_lost
    conflict.save(update_fields=["settled_at", "settled_by", "took_lost"])


def _change(conflict: Conflict, row: Any) -> Change:
    kept = conflict.lost if conflict.took_lost else conflict.kept
    return Change("settle-conflict", "attempt", row.public_id, row.pupil.public_id, before=conflict.kept, after=kept)
