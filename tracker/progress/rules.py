"""A school's own settings and marks in the form that the measures take."""

from collections.abc import Iterable
from datetime import date

from tracker.measures import ladder, marks
from tracker.measures.rules import Rules
from tracker.models import Mark, School


def rules_of(school: School) -> Rules:
    return Rules.from_mapping(school.rules)


def default_mark(skill_key: str) -> marks.Mark | None:
    """The ladder's provisional mark; None where only the school can set one, and for copying."""
    step = ladder.step(skill_key)
    if step.default_mark_rate is None or step.default_accuracy is None:
        return None
    source = marks.BURNS_2006 if step.kind == "year" else marks.COMMON_PRACTICE
    return marks.Mark(step.default_accuracy, step.default_mark_rate, source, 0, date.min, is_default=True)


def mark_of(row: Mark) -> marks.Mark:
    return marks.Mark(
        accuracy=float(row.accuracy),
        rate=float(row.rate),
        source=row.source,
        version=row.version,
        valid_from=row.valid_from,
        grade=row.grade,
        for_pupil=row.pupil_id is not None,
    )


def mark_for(
    rows: Iterable[Mark], *, skill_id: int, skill_key: str, pupil_id: int, grade: int | None, on: date
) -> marks.Mark | None:
    """The mark that holds for one pupil on a day: own, skill and grade, skill, default."""
    own = [mark_of(row) for row in rows if row.skill_id == skill_id and row.pupil_id in (None, pupil_id)]
    default = default_mark(skill_key)
    return marks.choose_mark([*own, default] if default else own, on=on, grade=grade)
