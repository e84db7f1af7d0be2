"""Runs a closed check again after a change: withdraws what lost its ground, then judges as closing does."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.closing import class_cases, event_change, flag_change, judge, judged_changes
from tracker.actions.locks import hold_rows
from tracker.actions.record import Change, note_changes
from tracker.measures.observations import Observation
from tracker.models import Check, Flag, MasteryEvent
from tracker.progress.judgement import FROM_SCORES, ground, still_secure
from tracker.progress.rules import rules_of
from tracker.progress.standings import Case

STANDING = (Flag.State.OPEN, Flag.State.ACKNOWLEDGED)


def rerun(check: Check, row: Any, *, by: Viewer | None, on: date) -> None:
    """`row` is the attempt that changed. A recorded day or a flag that would not stand with the corrected score is
    taken back; marks never do that. Then the class is judged again, since its share below the gate may have moved."""
    at = timezone.now()
    rows = hold_rows(check.public_id)
    cases, twins = class_cases(check, rows, on=on)
    case = next(one for one in cases if one.pair == (row.pupil_id, row.skill_id))
    removed = _remove_events(case, check)
    withdrawn = _withdraw_flags(case, twins[case.pair], check, by=by, on=on, at=at)
    fresh = hold_rows(check.public_id) if removed else rows
    told, raised = judge(check, fresh, by=by, on=on, at=at)
    note_changes([*removed, *withdrawn, *judged_changes(told, raised)], by=by, on=on, school=check.school)


def _remove_events(case: Case, check: Check) -> list[Change]:
    rules = rules_of(check.school)
    rows = MasteryEvent.objects.filter(pupil_id=case.pupil_id, skill_id=case.skill_id).select_related("pupil", "skill")
    told = {event.kind: event for event in rows}
    gone = [event for event in told.values() if not still_secure(event, case, rules=rules)]
    # A day of being kept rests on the day of becoming secure.
    if any(event.kind == MasteryEvent.Kind.SECURE for event in gone):
        gone = list(told.values())
    MasteryEvent.objects.filter(pk__in=[event.pk for event in gone]).delete()
    return [event_change("remove-reached", event, why=_corrected()) for event in gone]


def _withdraw_flags(
    case: Case, twin: Sequence[Observation], check: Check, *, by: Viewer | None, on: date, at: datetime
) -> list[Change]:
    rules = rules_of(check.school)
    rows = Flag.objects.select_for_update(of=("self",), no_key=True).filter(
        pupil_id=case.pupil_id, skill_id=case.skill_id, kind__in=FROM_SCORES, state__in=STANDING
    )
    changes = []
    for flag in rows.select_related("pupil", "skill").order_by("pk"):
        if ground(flag.kind, case, twin, rules=rules, on=flag.raised_on) is None:
            flag.state, flag.ended_by, flag.ended_at = Flag.State.WITHDRAWN, by.user if by else None, at
            flag.ended_why = _corrected()
            flag.save(update_fields=["state", "ended_by", "ended_at", "ended_why"])
            changes.append(flag_change("withdraw-flag", flag, why=flag.ended_why))
    return changes


def _corrected() -> str:
    return _("A score that this rested on was corrected.")
