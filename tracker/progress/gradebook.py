"""A class as a page of a mark book: one ruled number a pupil and skill."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from tracker.access.viewer import Viewer
from tracker.measures.ladder import DONE
from tracker.models import ClassGroup, Enrolment, Flag, School
from tracker.progress.by_chance import sentence, skills_sat
from tracker.progress.called import called
from tracker.progress.class_needs import ClassNeed, class_needs, own_flags
from tracker.progress.evidence import percent
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import flag_label, grade_label, skill_label, skill_short
from tracker.queries import classes, flags, standings
from tracker.queries.standings import Stand


@dataclass(frozen=True)
class Column:
    key: str
    label: str
    first: str
    second: str


@dataclass(frozen=True)
class Cell:
    """A stage and the number over its rule, written out; both empty where nothing was sat."""

    stage: str
    number: str


@dataclass(frozen=True)
class RowFlag:
    kind: str
    label: str


@dataclass(frozen=True)
class GradeRow:
    pupil_id: str
    name: str
    grade: str
    cells: tuple[Cell, ...]
    flags: tuple[RowFlag, ...]


@dataclass(frozen=True)
class Gradebook:
    columns: tuple[Column, ...]
    rows: tuple[GradeRow, ...]
    folded: int
    grades: tuple[str, ...]
    needs: tuple[ClassNeed, ...]
    by_chance: str

    @property
    def several_grades(self) -> bool:
        return len(self.grades) > 1


EMPTY = Cell("", "")


def gradebook(viewer: Viewer, group: ClassGroup, *, whole: bool = False) -> Gradebook:
    """Skills that everybody on them has left behind are folded away unless `whole` is asked for."""
    places = list(classes.class_places(viewer, group))
    pupils = [place.pupil_id for place in places]
    rows = standings.current(viewer, pupils)
    raised = list(flags.standing_flags(viewer, pupils))
    sat = [row for row in rows if row.checks]
    shown = sat if whole else _still_on(sat)
    keys = {row.skill.key: row.skill.position for row in shown}
    columns = [_column(key, viewer.school) for key in sorted(keys, key=lambda key: keys[key])]
    needs = class_needs(rows, viewer.school, class_size=len(places), rules=rules_of(viewer.school))
    grades = sorted({place.grade for place in places})
    marked = _by_pupil(own_flags(raised, needs))
    return Gradebook(
        columns=tuple(columns),
        rows=tuple(_rows(places, shown, columns=columns, raised=marked, school=viewer.school)),
        folded=len({row.skill.key for row in sat}) - len(columns),
        grades=tuple(grade_label(grade, viewer.school) for grade in grades),
        needs=needs,
        by_chance=sentence(viewer.school, len(places), skills_sat(rows)) if raised else "",
    )


def _still_on(rows: Sequence[Stand]) -> list[Stand]:
    by_skill: dict[str, list[Stand]] = defaultdict(list)
    for row in rows:
        by_skill[row.skill.key].append(row)
    return [row for same in by_skill.values() if any(one.stage not in DONE for one in same) for row in same]


def _column(key: str, school: School) -> Column:
    first, second = skill_short(key, school)
    return Column(key, skill_label(key, school), first, second)


def _by_pupil(raised: Sequence[Flag]) -> dict[int, tuple[RowFlag, ...]]:
    """Each kind once a pupil, whatever the number of skills."""
    found: dict[int, dict[str, RowFlag]] = defaultdict(dict)
    for flag in raised:
        found[flag.pupil_id][flag.kind] = RowFlag(flag.kind, flag_label(flag.kind))
    return {pupil: tuple(kinds.values()) for pupil, kinds in found.items()}


def _rows(
    places: Sequence[Enrolment],
    shown: Sequence[Stand],
    *,
    columns: Sequence[Column],
    raised: dict[int, tuple[RowFlag, ...]],
    school: School,
) -> list[GradeRow]:
    cells = {(row.pupil_id, row.skill.key): cell(row) for row in shown}
    names = called(place.pupil for place in places)
    return [
        GradeRow(
            pupil_id=place.pupil.public_id,
            name=names[place.pupil_id],
            grade=grade_label(place.grade, school),
            cells=tuple(cells.get((place.pupil_id, column.key), EMPTY) for column in columns),
            flags=raised.get(place.pupil_id, ()),
        )
        for place in places
    ]


def cell(row: Stand) -> Cell:
    """While the method is being learnt accuracy is shown, later the rate; without timed checks always accuracy."""
    stage = row.stage or "few"
    share = row.pooled_accuracy if row.pooled_accuracy is not None else row.last_accuracy
    if stage == "learning" or row.last_rate is None:
        return Cell(stage, percent(share) if share is not None else "–")
    return Cell(stage, str(round(row.last_rate)))
