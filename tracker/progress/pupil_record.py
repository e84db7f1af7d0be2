"""All rows about one child that a page needs, read in a fixed number of statements."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from tracker.access.viewer import Viewer
from tracker.measures.ladder import DONE
from tracker.measures.marks import Mark
from tracker.measures.observations import Observation
from tracker.measures.rules import Rules
from tracker.models import Attempt, Break, Enrolment, Flag, Phase, Pupil, School, SchoolYear
from tracker.models import Mark as MarkRow
from tracker.progress.observations import observation_of
from tracker.progress.rules import mark_for, rules_of
from tracker.queries import pupils
from tracker.queries.pupils import OwnStand, SatRow


@dataclass(frozen=True, slots=True)
class Sitting:
    """One attempt with what the measures make of it."""

    row: SatRow
    seen: Observation

    @property
    def is_counted(self) -> bool:
        """Whether it may enter a stage: written at school, with counts."""
        return self.seen.place == "school" and self.seen.mode == "written" and self.row.correct is not None


@dataclass(frozen=True)
class Record:
    pupil: Pupil
    school: School
    today: date
    rules: Rules
    place: Enrolment | None
    rows: Sequence[Sitting]
    standings: Sequence[OwnStand]
    flags: Sequence[Flag]
    marks: Sequence[MarkRow]
    phases: Sequence[Phase]
    breaks: Sequence[Break]
    years: Sequence[SchoolYear]
    open_classes: dict[int, str]

    @cached_property
    def on_record(self) -> list[OwnStand]:
        """Standings of skills that were sat, in ladder order."""
        sat = {one.row.skill_id for one in self.rows if one.seen.status != Attempt.Status.ABSENT}
        return [one for one in self.standings if one.stand.checks or one.skill_id in sat]

    @property
    def current_key(self) -> str:
        """The skill the child is on: the one sat last that is not done yet; with all done, the one sat last."""
        steps = [one for one in self.on_record if one.stand.skill.kind == "skill"]
        still = [one for one in steps if one.stage not in DONE]
        latest = max(
            still or steps or self.on_record,
            key=lambda one: (one.stand.last_on or date.min, one.stand.skill.position),
            default=None,
        )
        return latest.key if latest else ""

    def standing(self, key: str) -> OwnStand | None:
        return next((one for one in self.standings if one.key == key), None)

    def mark_on(self, skill: OwnStand, on: date) -> Mark | None:
        grade = self.place.grade if self.place else None
        return mark_for(
            self.marks, skill_id=skill.skill_id, skill_key=skill.key, pupil_id=self.pupil.pk, grade=grade, on=on
        )

    def year_of(self, on: date) -> SchoolYear | None:
        """The school year that holds a day, else the last one before it."""
        begun = [year for year in self.years if year.starts <= on]
        return max(begun, key=lambda year: year.starts, default=None)

    def link(self, row: SatRow) -> tuple[str, str] | None:
        """Class and check by public id, where the viewer may open that class."""
        class_id = self.open_classes.get(row.class_key or 0)
        return (class_id, row.check_id) if class_id else None


def record(viewer: Viewer, one: Pupil) -> Record:
    """`one` comes from a scoped query."""
    rows, place = pupils.sat(viewer, one), pupils.place(viewer, one)
    asked = [*(row.class_key for row in rows), place.class_group_id if place else None]
    return Record(
        pupil=one,
        school=viewer.school,
        today=viewer.today,
        rules=rules_of(viewer.school),
        place=place,
        rows=[Sitting(row, observation_of(row)) for row in rows],
        standings=pupils.own_stands(viewer, one),
        flags=list(pupils.standing_flags(viewer, one)),
        marks=list(pupils.marks(viewer, one)),
        phases=list(pupils.phases(viewer, one)),
        breaks=list(pupils.breaks(viewer)),
        years=list(pupils.years(viewer)),
        open_classes=pupils.open_classes(viewer, asked),
    )
