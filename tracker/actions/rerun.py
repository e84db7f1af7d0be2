"""Runs a closed check again after a change: takes back what lost its ground, then judges as closing does."""

from datetime import date, datetime
from typing import Any

from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions import standings
from tracker.actions.closing import event_change, flag_change, judge, judged_changes, twins_of
from tracker.actions.locks import hold_rows
from tracker.actions.record import Change, note_changes
from tracker.models import Check, Flag, MasteryEvent, School
from tracker.progress.judgement import FROM_SCORES, ground, still_secure
from tracker.progress.rules import rules_of
from tracker.progress.standings import Case

STANDING = (Flag.State.OPEN, Flag.State.ACKNOWLEDGED)


def rerun(check: Check, row: Any, *, by: Viewer | None, on: date) -> None:
    """`row` is the attempt that changed. A recorded day or a flag that would not stand with its new values is taken
    back; marks never do that. Then the class is judged again, since its share below the gate may have moved."""
    at = timezone.now()
    removed = remove_events(check.school, row.pupil_id, row.skill_id, on=on)
    withdrawn = withdraw_flags(check.school, row.pupil_id, row.skill_id, by=by, on=on, at=at)
    told, raised = judge(check, hold_rows(check.public_id), by=by, on=on, at=at)
    changes = [*removed, *withdrawn, *judged_changes(told, raised)]
    note_changes(changes, by=by, on=on, school=check.school)


def remove_events(school: School, pupil_id: int, skill_id: int, *, on: date, why: str = "") -> list[Change]:
    rows = MasteryEvent.objects.filter(pupil_id=pupil_id, skill_id=skill_id).select_related("pupil", "skill")
    told = list(rows.order_by("pk"))
    if not told:
        return []
    case = standings.cases(school, [(pupil_id, skill_id)], on=on)[0]
    gone = [event for event in told if not still_secure(event, case, rules=rules_of(school))]
    # A day of being kept rests on the day of becoming secure.
    if any(event.kind == MasteryEvent.Kind.SECURE for event in gone):
        gone = told
    rows.filter(pk__in=[event.pk for event in gone]).delete()
    return [event_change("remove-reached", event, why=why or _corrected()) for event in gone]


def withdraw_flags(
    school: School, pupil_id: int, skill_id: int, *, by: Viewer | None, on: date, at: datetime, why: str = ""
) -> list[Change]:
    """Looks at flags on the skill and at gaps whose twin it is, each as the scores stood on the day it was raised."""
    about = Q(skill_id=skill_id) | Q(skill__twin_id=skill_id, kind=Flag.Kind.REGROUPING)
    rows = Flag.objects.filter(about, pupil_id=pupil_id, kind__in=FROM_SCORES, state__in=STANDING)
    held = list(rows.select_for_update(of=("self",), no_key=True).select_related("pupil", "skill").order_by("pk"))
    cases = {case.pair: case for case in standings.cases(school, {(pupil_id, flag.skill_id) for flag in held}, on=on)}
    twins = twins_of(cases.values(), {flag.skill_id: flag.skill.twin_id for flag in held})
    gone = [flag for flag in held if not _stands(flag, cases=cases, twins=twins, school=school)]
    for flag in gone:
        flag.state, flag.ended_by, flag.ended_at = Flag.State.WITHDRAWN, by.user if by else None, at
        flag.ended_why = why or _corrected()
    Flag.objects.bulk_update(gone, ["state", "ended_by", "ended_at", "ended_why"])
    return [flag_change("withdraw-flag", flag, why=flag.ended_why) for flag in gone]


def _stands(flag: Flag, *, cases: dict[Any, Case], twins: dict[Any, Any], school: School) -> bool:
    pair = (flag.pupil_id, flag.skill_id)
    found = ground(flag.kind, cases[pair], twins[pair], rules=rules_of(school), on=flag.raised_on)
    return found is not None


def _corrected() -> str:
    return _("A score that this rested on was corrected.")
