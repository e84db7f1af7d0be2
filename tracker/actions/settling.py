"""Works out where pupils stand after many scores came or went at once, as closing a check does for one class."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any

from tracker.access.viewer import Viewer
from tracker.actions import standings
from tracker.actions.closing import judge, judged_changes
from tracker.actions.locks import hold_latest
from tracker.actions.record import note_changes
from tracker.actions.rerun import remove_events, withdraw_flags
from tracker.models import Check, School
from tracker.queries.whole import Pair


def settle_pairs(*, school: School, pairs: Collection[Pair], by: Viewer, on: date, at: datetime) -> None:
    """Judges each class once, by the latest row of every pupil and skill. Runs inside another action's transaction."""
    by_class: dict[int | None, list[Any]] = {}
    for row in hold_latest(school, pairs):
        by_class.setdefault(row.class_group_id, []).append(row)
    for rows in by_class.values():
        latest = max(rows, key=lambda row: (row.taken_on, row.check_sat_id))
        check = Check.objects.select_related("school").get(pk=latest.check_sat_id)
        told, raised = judge(check, rows, by=by, on=on, at=at)
        note_changes(judged_changes(told, raised), by=by, on=on, school=school)


def unsettle_pairs(*, school: School, pairs: Collection[Pair], by: Viewer, on: date, at: datetime) -> None:
    """After scores went away: takes back recorded days and flags that lost their ground."""
    for pupil, skill in sorted(pairs):
        removed = remove_events(school, pupil, skill, on=on)
        withdrawn = withdraw_flags(school, pupil, skill, by=by, on=on, at=at)
        note_changes([*removed, *withdrawn], by=by, on=on, school=school)
    standings.refresh(school=school, pairs=pairs, on=on, at=at)
