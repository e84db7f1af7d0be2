"""A file of scores: each row matched to a pupil, a skill, a day and a sheet, or a sentence that says why not."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from tracker.actions.imports.columns import SCORES, find_columns
from tracker.actions.imports.faults import Fault
from tracker.actions.imports.reading import FileRows
from tracker.actions.imports.school_index import SchoolIndex
from tracker.actions.imports.scores_row import ScoreRow, ScoresReader
from tracker.models import Attempt, School

NEEDED = (("school_ref", "name", "given_name"), ("skill",), ("date",), ("correct",), ("wrong",))


@dataclass(frozen=True)
class ScoresPlan:
    """What loading would do. With faults, nothing is loaded."""

    kind = "scores"
    make: tuple[ScoreRow, ...]
    fill: tuple[tuple[ScoreRow, Attempt], ...]
    same: int
    faults: tuple[Fault, ...]
    ignored: tuple[str, ...] = ()
    totals_left_out: int = 0
    warnings: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        return len(self.make) + len(self.fill) + self.same

    @property
    def changes_something(self) -> bool:
        return bool(self.make or self.fill)


def plan_scores(file: FileRows, *, school: School, on: date) -> ScoresPlan:
    columns = find_columns(file.head, SCORES, needed=NEEDED)
    if columns.faults:
        return ScoresPlan((), (), 0, columns.faults, columns.ignored)
    reader = ScoresReader(columns, SchoolIndex(school), on)
    rows = [found for row in file.rows if (found := reader.read(row))]
    stand = _standing_attempts(school, rows)
    beside = [(row, stand.get((row.pupil.pk, row.skill.pk, row.on))) for row in rows]
    faults = [*reader.faults, *_twice(rows), *_other_values(beside)]
    return ScoresPlan(
        make=tuple(row for row, attempt in beside if attempt is None),
        fill=tuple((row, attempt) for row, attempt in beside if attempt is not None and attempt.status == "due"),
        same=sum(1 for row, attempt in beside if attempt is not None and row.equals(attempt)),
        faults=tuple(sorted(faults, key=lambda fault: fault.row)),
        ignored=columns.ignored,
        totals_left_out=file.totals_left_out,
        warnings=tuple(_warnings(rows)),
    )


def _standing_attempts(school: School, rows: list[ScoreRow]) -> dict[tuple[int, int, date], Attempt]:
    if not rows:
        return {}
    days = [row.on for row in rows]
    found = Attempt.objects.filter(school=school, taken_on__range=(min(days), max(days))).select_related("sheet")
    return {(attempt.pupil_id, attempt.skill_id, attempt.taken_on): attempt for attempt in found}


def _twice(rows: list[ScoreRow]) -> Iterator[Fault]:
    first: dict[tuple[int, int, date], int] = {}
    for row in rows:
        key = (row.pupil.pk, row.skill.pk, row.on)
        if key in first:
            sentence = _("Row %(first)s is for the same pupil, skill and day. Keep one of the two.")
            yield Fault(row.number, "", sentence % {"first": first[key]})
        first.setdefault(key, row.number)


def _other_values(beside: list[tuple[ScoreRow, Attempt | None]]) -> Iterator[Fault]:
    for row, attempt in beside:
        if attempt is None or attempt.status == "due" or row.equals(attempt):
            continue
        sentence = _(
            "The record holds other values for this pupil, skill and day: %(correct)s digits correct, %(wrong)s wrong. "
            "Correct them on the page of that check, or leave the row out."
        )
        yield Fault(row.number, "", sentence % {"correct": _shown(attempt.correct), "wrong": _shown(attempt.wrong)})


def _shown(count: int | None) -> str:
    return "–" if count is None else str(count)


def _warnings(rows: list[ScoreRow]) -> Iterator[str]:
    untimed = sum(1 for row in rows if row.status == "done" and row.seconds is None)
    if untimed:
        yield _("%(count)s rows have no time: they count for accuracy, not for the rate.") % {"count": untimed}
