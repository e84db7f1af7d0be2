"""Works out where pupils stand after many scores came or went at once, as closing a check does for one class."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any

from django.db.models import Q

from tracker.access.viewer import Viewer
from tracker.actions import standings
from tracker.actions.closing import judge, judged_changes
from tracker.actions.locks import hold_latest
from tracker.actions.record import note_changes
from tracker.actions.rerun import STANDING, remove_events, withdraw_flags
from tracker.models import Attempt, Check, Flag, MasteryEvent, School
from tracker.queries.whole import Pair


def settle_pairs(
    *, school: School, pairs: Collection[Pair], checks: Collection[int], by: Viewer, on: date, at: datetime
) -> None:
    """Judges each class that closed checks were written to, once, by the latest row of every pupil and skill. All
    rows of those checks are judged along, since a class is looked at as a whole. What stands in an open check waits
    for its closing. Runs inside another action's transaction."""
    sat = Attempt.objects.filter(school=school, check_sat__in=checks, check_sat__state=Check.State.CLOSED)
    by_class: dict[int | None, list[Any]] = {}
    for row in hold_latest(school, set(sat.values_list("pupil_id", "skill_id"))):
        by_class.setdefault(row.class_group_id, []).append(row)
    for rows in by_class.values():
        latest = max(rows, key=lambda row: (row.taken_on, row.check_sat_id))
        check = Check.objects.select_related("school").get(pk=latest.check_sat_id)
        told, raised = judge(check, rows, by=by, on=on, at=at)
        note_changes(judged_changes(told, raised), by=by, on=on, school=school)
    judged = {(row.pupil_id, row.skill_id) for rows in by_class.values() for row in rows}
    standings.refresh(school=school, pairs=set(pairs) - judged, on=on, at=at)


def unsettle_pairs(*, school: School, pairs: Collection[Pair], why: str, by: Viewer, on: date, at: datetime) -> None:
    """After scores went away: takes back recorded days and flags that lost their ground."""
    changes = []
    for pupil, skill in sorted(_with_something_on_record(school, pairs)):
        changes += remove_events(school, pupil, skill, on=on, why=why)
        changes += withdraw_flags(school, pupil, skill, by=by, on=on, at=at, why=why)
    note_changes(changes, by=by, on=on, school=school)
    standings.refresh(school=school, pairs=pairs, on=on, at=at)


def _with_something_on_record(school: School, pairs: Collection[Pair]) -> set[Pair]:
    """Those of the pairs that have a recorded day, a standing flag, or a twin with one."""
    pupils = {pupil for pupil, _skill in pairs}
    about = Q(school=school, pupil__in=pupils)
    found = set(MasteryEvent.objects.filter(about).values_list("pupil_id", "skill_id"))
    for pupil, skill, twin in Flag.objects.filter(about, state__in=STANDING).values_list(
        "pupil_id", "skill_id", "skill__twin_id"
    ):
        found |= {(pupil, skill), (pupil, twin)} if twin else {(pupil, skill)}
    return found & set(pairs)
