"""A class with its teacher, for tests of what happens to scores."""

from dataclasses import dataclass
from datetime import date
from itertools import count
from typing import Any

from tests import builders as make
from tracker.access.viewer import Viewer
from tracker.actions.checks import Closed, PlannedRow, close_check, plan_check
from tracker.actions.corrections import correct_row
from tracker.actions.scores import SaveResult, Typed, save_row
from tracker.models import Attempt, Check, ClassGroup, Pupil, School

ON = make.TODAY
KEY = "sub-2d-regroup"
_keys = count(1)


@dataclass(frozen=True)
class Scene:
    school: School
    group: ClassGroup
    by: Viewer

    def pupil(self, given: str = "Anouk", **fields: Any) -> Pupil:
        return make.make_pupil(self.group, given, **fields)

    def plan(self, *rows: PlannedRow, on: date = ON) -> Check:
        return plan_check(class_id=self.group.public_id, sat_on=on, rows=rows, by=self.by, on=ON)

    def row(self, pupil: Pupil, key: str = KEY, **fields: Any) -> Attempt:
        check = self.plan(PlannedRow(pupil.public_id, key, **fields))
        return check.attempts.select_related("check_sat", "sheet").get()

    def save(self, row: Attempt, typed: Typed, *, by: Viewer | None = None, **fields: Any) -> SaveResult:
        values = {"key": f"key-{next(_keys)}", "base_version": 0, "on": ON, **fields}
        return save_row(
            check_id=row.check_sat.public_id,
            attempt_id=row.public_id,
            typed=typed,
            by=by or self.by,
            **values,
        )

    def close(self, check: Check, *, on: date = ON) -> Closed:
        return close_check(check_id=check.public_id, by=self.by, on=on)

    def correct(self, row: Attempt, typed: Typed, why: str = "Counted again", **fields: Any) -> SaveResult:
        values = {"base_version": Attempt.objects.get(pk=row.pk).version, "by": self.by, "on": ON, **fields}
        return correct_row(check_id=row.check_sat.public_id, attempt_id=row.public_id, typed=typed, why=why, **values)


def make_scene(**school: Any) -> Scene:
    place = make.make_school(**school)
    teacher = make.make_member(place, "teacher", "Mira Solberg")
    return Scene(place, make.make_class(place, teacher=teacher), make.viewer(teacher, place))


def cover_of(scene: Scene) -> Viewer:
    user = make.make_member(scene.school, "cover", "Jonas Adeyemi")
    make.give_class(user, scene.group, cover=True)
    return make.viewer(user, scene.school)


def visitor_to(scene: Scene, *roles: str) -> Viewer:
    """A teacher of another class who covers this one today."""
    viewer = stranger_at(scene)
    for role in ("cover", *roles):
        make.join(viewer.user, scene.school, role)
    make.give_class(viewer.user, scene.group, cover=True)
    return make.viewer(viewer.user, scene.school)


def colleague_of(scene: Scene) -> Viewer:
    user = make.make_member(scene.school, "teacher", "Tomas Lindqvist")
    make.give_class(user, scene.group)
    return make.viewer(user, scene.school)


def stranger_at(scene: Scene) -> Viewer:
    user = make.make_member(scene.school, "teacher", "Ines Kowalczyk")
    make.make_class(scene.school, "Otter", teacher=user)
    return make.viewer(user, scene.school)
