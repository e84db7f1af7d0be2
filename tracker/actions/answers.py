"""Works out what a row answers to the person who typed it, and refreshes the standing on the way."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils import timezone

from tracker.access.permissions import sees_history
from tracker.access.viewer import Viewer
from tracker.actions import standings
from tracker.actions.locks import reached_of
from tracker.actions.typed import SAT, Typed
from tracker.measures.rules import Rules
from tracker.models import Attempt, Check, SheetItem
from tracker.progress.observations import observation_of, observations_from
from tracker.progress.rows import Doubt, doubt_of, finished_doubt, is_finished
from tracker.progress.rules import rules_of
from tracker.progress.standings import Case, compute
from tracker.queries import whole


@dataclass(frozen=True)
class RowAnswer:
    rate: float | None
    accuracy: float | None
    stage: str
    doubt: Doubt | None


def running_digits(typed: Typed, row: Attempt) -> list[int]:
    """The running totals on the sheet's key, read only when the last item reached was typed."""
    if typed.reached is None or row.sheet_id is None:
        return []
    items = SheetItem.objects.filter(sheet_id=row.sheet_id).order_by("number")
    return list(items.values_list("running_digits", flat=True))


def refresh_row(row: Any, *, check: Check, by: Viewer, on: date, typed: Typed | None = None) -> RowAnswer:
    case = case_of_row(row, check=check, on=on)
    rules = rules_of(check.school)
    stage = case.answer(rules)
    made = compute([case], rules=rules, at=timezone.now(), answers={case.pair: stage})
    standings.write(made, [case.pair])
    return _answer(row, case, stage.stage, rules=rules, history=sees_history(by, check), typed=typed)


def answer_row(row: Any, *, check: Check, by: Viewer, on: date, typed: Typed | None = None) -> RowAnswer:
    """The same without writing anything."""
    case = case_of_row(row, check=check, on=on)
    rules = rules_of(check.school)
    stage = case.answer(rules).stage
    return _answer(row, case, stage, rules=rules, history=sees_history(by, check), typed=typed)


def case_of_row(row: Any, *, check: Check, on: date) -> Case:
    pair = (row.pupil_id, row.skill_id)
    rows = whole.histories(check.school_id, [row.pupil_id], [row.skill_id]).get(pair, [])
    marks = whole.marks(check.school_id, [row.skill_id], [row.pupil_id])
    return standings.case_of(check.school, pair, rows, key=row.skill.key, marks=marks, reached=reached_of(row), on=on)


def _answer(row: Any, case: Case, stage: str, *, rules: Rules, history: bool, typed: Typed | None) -> RowAnswer:
    if row.status not in SAT or row.correct is None:
        return RowAnswer(None, None, stage if history else "", None)
    seen = observation_of(row)
    doubt = None
    if not row.confirmed:
        earlier = observations_from(one for one in case.rows if one.pk != row.pk)
        possible = row.sheet.digits_possible if row.sheet else None
        doubt = doubt_of(seen, earlier, possible=possible, rules=rules, history=history) or _unfinished(row, typed)
    return RowAnswer(seen.rate, seen.accuracy, stage if history else "", doubt)


def _unfinished(row: Any, typed: Typed | None) -> Doubt | None:
    """A finished sheet without its own time is a ceiling: the row asks for the seconds."""
    if typed is None or typed.seconds is not None or row.seconds is None or row.status != Attempt.Status.DONE:
        return None
    finished = is_finished(
        correct=row.correct,
        wrong=row.wrong,
        omitted=row.omitted or 0,
        possible=row.sheet.digits_possible if row.sheet else None,
    )
    return finished_doubt() if finished else None
