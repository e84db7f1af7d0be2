"""The rows of a check as the score grid shows them: what was typed, what it answers, and what is left."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _

from tracker.access.permissions import may, may_close, sees_history
from tracker.access.viewer import Viewer
from tracker.measures.rules import Rules
from tracker.models import Attempt, Check, Conflict, School
from tracker.progress.called import called
from tracker.progress.entries import Answer, Dispute, answer_words, dispute_of
from tracker.progress.observations import observation_of, observations_from
from tracker.progress.rows import Doubt, doubt_of, finished_doubt, is_finished
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import skill_label, skill_short
from tracker.queries import checks, scores
from tracker.queries.names import fold

SAT = (Attempt.Status.DONE, Attempt.Status.STOPPED)
REACHED, CORRECT = "reached", "correct"


@dataclass(frozen=True)
class GridRow:
    """One pupil on one skill. `first` names what the first box holds: digits correct, or the last item reached.
    `seconds` is the pupil's own time where it differs from the sheet's (`planned`)."""

    attempt_id: str
    name: str
    letters: str
    skill: tuple[str, str]
    remarks: tuple[str, ...]
    first: str
    unusual: bool
    holds: int | None
    planned: int | None
    may_time: bool
    status: str
    status_label: str
    correct: int | None
    wrong: int | None
    reached: int | None
    omitted: int | None
    seconds: int | None
    version: int
    answer: Answer
    disputes: tuple[Dispute, ...]

    @property
    def first_value(self) -> int | None:
        return self.reached if self.first == REACHED else self.correct

    @property
    def state(self) -> str:
        """What the row's look follows: a doubt before everything else."""
        return "doubt" if self.answer.doubt or self.disputes else self.status


@dataclass(frozen=True)
class SheetLine:
    """One of the sheets in the pile."""

    skill: str
    pupils: int
    holds: int | None
    seconds: int | None

    @property
    def minutes(self) -> int | None:
        return self.seconds // 60 if self.seconds and self.seconds % 60 == 0 else None


@dataclass(frozen=True)
class Grid:
    check: Check
    rows: tuple[GridRow, ...]
    sheets: tuple[SheetLine, ...]
    typing: str
    is_open: bool
    may_close: bool
    may_correct: bool
    history: bool

    @cached_property
    def counts(self) -> Counter[str]:
        return Counter(row.status for row in self.rows)

    @property
    def left(self) -> int:
        return self.counts[Attempt.Status.DUE]

    @property
    def absent(self) -> int:
        return self.counts[Attempt.Status.ABSENT]

    @property
    def stopped(self) -> int:
        return self.counts[Attempt.Status.STOPPED]


def grid(viewer: Viewer, class_id: str, check_id: str) -> Grid:
    check, writes = scores.check_for_scores(viewer, class_id, check_id)
    history = sees_history(viewer, check)
    rows = list(checks.rows(viewer, check))
    is_open = check.state == Check.State.OPEN
    return Grid(
        check=check,
        rows=tuple(_Rows(viewer, check, rows, history=history).all()),
        sheets=_sheets(rows, viewer.school),
        typing=viewer.school.typing,
        is_open=is_open and writes,
        may_close=is_open and writes and may_close(viewer, check),
        may_correct=not is_open and history and may(viewer, "correct-scores"),
        history=history,
    )


def one_row(viewer: Viewer, check: Check, row: Attempt) -> GridRow:
    """A single row, for a reader who sees history."""
    return _Rows(viewer, check, [row], history=True).all()[0]


class _Rows:
    """Puts to each attempt what three further statements say about all of them."""

    def __init__(self, viewer: Viewer, check: Check, rows: Sequence[Attempt], *, history: bool) -> None:
        self.viewer, self.rows, self.history = viewer, rows, history
        self.rules = rules_of(viewer.school)
        self.names = called(row.pupil for row in rows)
        self.earlier = scores.earlier(viewer, check, rows)
        self.stages = scores.stages(viewer, rows) if history else {}
        self.conflicts: dict[int, list[Conflict]] = {}
        for conflict in checks.open_conflicts(viewer, check):
            self.conflicts.setdefault(conflict.attempt_id, []).append(conflict)

    def all(self) -> list[GridRow]:
        return [self._row(row) for row in self.rows]

    def _row(self, row: Attempt) -> GridRow:
        school = self.viewer.school
        first = first_box(row, school)
        name = str(row.pupil)
        planned = planned_seconds(row)
        return GridRow(
            attempt_id=row.public_id,
            name=self.names[row.pupil_id],
            letters=fold(name),
            skill=skill_short(row.skill.key, school),
            remarks=_remarks(row),
            first=first,
            unusual=first != usual_box(school),
            holds=row.sheet.digits_possible if row.sheet else None,
            planned=planned,
            may_time=not row.pupil.no_timed_checks,
            status=row.status,
            status_label=str(row.get_status_display()),
            correct=row.correct,
            wrong=row.wrong,
            reached=row.reached,
            omitted=row.omitted if first == CORRECT else None,
            seconds=row.seconds if row.status in SAT and row.seconds != planned else None,
            version=row.version,
            answer=self._answer(row),
            disputes=tuple(dispute_of(one, self.viewer) for one in self.conflicts.get(row.pk, ())),
        )

    def _answer(self, row: Attempt) -> Answer:
        if row.status not in SAT or row.correct is None:
            return Answer()
        seen = observation_of(row)
        earlier = self.earlier.get((row.pupil_id, row.skill_id), [])
        doubt = None if row.confirmed else _doubt(row, earlier, rules=self.rules, history=self.history)
        stage = self.stages.get((row.pupil_id, row.skill_id), "")
        return answer_words(rate=seen.rate, accuracy=seen.accuracy, stage=stage, doubt=doubt)


def _doubt(row: Attempt, earlier: Sequence[Attempt], *, rules: Rules, history: bool) -> Doubt | None:
    possible = row.sheet.digits_possible if row.sheet else None
    found = doubt_of(observation_of(row), observations_from(earlier), possible=possible, rules=rules, history=history)
    own_time = row.seconds is None or row.seconds != planned_seconds(row)
    if found or own_time or row.status != Attempt.Status.DONE:
        return found
    counts = {"correct": row.correct or 0, "wrong": row.wrong or 0, "omitted": row.omitted or 0}
    return finished_doubt() if is_finished(**counts, possible=possible) else None


def usual_box(school: School) -> str:
    return REACHED if school.typing == School.Typing.REACHED_WRONG else CORRECT


def first_box(row: Attempt, school: School) -> str:
    """The school's way of typing, unless the sheet has no items or the row was typed the other way."""
    if row.reached is not None:
        return REACHED
    if row.correct is not None or row.sheet is None or not row.sheet.generator:
        return CORRECT
    return usual_box(school)


def planned_seconds(row: Attempt) -> int | None:
    if row.seconds is None:
        return None
    return (row.sheet.seconds if row.sheet else None) or row.seconds


def _remarks(row: Attempt) -> tuple[str, ...]:
    """What is out of the ordinary about the row, in words."""
    found = []
    if row.sheet is not None:
        found.append(_("sheet %(code)s") % {"code": row.sheet.code})
    if row.seconds is None:
        found.append(_("untimed"))
    if row.mode != Attempt.Mode.WRITTEN:
        found.append(str(row.get_mode_display()))
    if row.setting != Attempt.Setting.CLASS:
        found.append(str(row.get_setting_display()))
    return (*found, row.adjustments) if row.adjustments else tuple(found)


def _sheets(rows: Sequence[Attempt], school: School) -> tuple[SheetLine, ...]:
    """The largest part of the pile first."""
    found = Counter((row.skill.key, row.sheet_id) for row in rows)
    one: Mapping[tuple[str, int | None], Attempt] = {(row.skill.key, row.sheet_id): row for row in rows}
    return tuple(
        SheetLine(
            skill=skill_label(pair[0], school),
            pupils=count,
            holds=sheet.digits_possible if (sheet := one[pair].sheet) else None,
            seconds=sheet.seconds if sheet else one[pair].seconds,
        )
        for pair, count in found.most_common()
    )
