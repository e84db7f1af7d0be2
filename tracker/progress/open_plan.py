"""The plan of a check that is still open: what each pupil sits, and who could still be added."""

from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.models import Attempt, Check, ClassGroup, School
from tracker.progress.called import called
from tracker.progress.plan import PlanLine, class_plan
from tracker.progress.vocabulary import skill_label
from tracker.queries import checks


@dataclass(frozen=True)
class OpenRow:
    """A row of the check. It may change while it is `due`; a pupil who left the class can only be taken out."""

    attempt_id: str
    pupil_id: str
    name: str
    skill_key: str
    skill: str
    code: str
    form: int | None
    due: bool
    here: bool
    timed: bool
    untimed: bool
    status: str


@dataclass(frozen=True)
class OpenPlan:
    rows: tuple[OpenRow, ...]
    others: tuple[PlanLine, ...]
    pupils: tuple[tuple[str, str], ...]

    @property
    def due(self) -> tuple[OpenRow, ...]:
        return tuple(row for row in self.rows if row.due)


def open_plan(viewer: Viewer, group: ClassGroup, check: Check) -> OpenPlan:
    lines = class_plan(viewer, group, on=check.on).lines
    here = {line.pupil_id for line in lines}
    sat = list(checks.rows(viewer, check))
    names = called(row.pupil for row in sat)
    made = (_row(row, viewer.school, here=row.pupil.public_id in here) for row in sat)
    rows = tuple(replace(line, name=names[row.pupil_id]) for row, line in zip(sat, made, strict=True))
    planned = {row.pupil_id for row in rows}
    return OpenPlan(
        rows=rows,
        others=tuple(line for line in lines if line.pupil_id not in planned),
        pupils=tuple((line.pupil_id, line.name) for line in lines),
    )


def _row(row: Attempt, school: School, *, here: bool) -> OpenRow:
    due = row.status == Attempt.Status.DUE
    return OpenRow(
        attempt_id=row.public_id,
        pupil_id=row.pupil.public_id,
        name=str(row.pupil),
        skill_key=row.skill.key,
        skill=skill_label(row.skill.key, school),
        code=row.sheet.code if row.sheet else "",
        form=row.sheet.form if row.sheet else None,
        due=due,
        here=here,
        timed=not row.pupil.no_timed_checks,
        untimed=row.seconds is None,
        status=_("not in this class on that day") if due and not here else str(Attempt.Status(row.status).label),
    )
