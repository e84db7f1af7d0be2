"""What the tests of the score pages share: a class with a check that was planned for real."""

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from tests import builders as make
from tracker.actions.checks import PlannedRow, plan_check
from tracker.models import Attempt, Check, ClassGroup, Pupil, School, User

TODAY = make.TODAY


@dataclass
class Scene:
    """A teacher, a class and its open check of today."""

    school: School
    teacher: User
    group: ClassGroup
    pupils: list[Pupil]
    check: Check

    def url(self, name: str = "group-scores", *more: str) -> str:
        return reverse(name, args=[self.group.public_id, self.check.public_id, *more])

    def row(self, number: int = 0) -> Attempt:
        return self.check.attempts.get(pupil=self.pupils[number])

    def save_url(self, number: int = 0) -> str:
        return self.url("group-save", self.row(number).public_id)

    def save(self, client: Client, number: int = 0, *, key: str = "k1", base: int = 0, **typed: Any) -> HttpResponse:
        sent = {"user": "", "key": key, "base_version": base, "typed": typed}
        return client.post(self.save_url(number), json.dumps(sent), content_type="application/json")


def make_scene(
    *names: str, key: str = "sub-2d-regroup", on: date = TODAY, school: School | None = None, **fields: Any
) -> Scene:
    """`names` are given and family name in one; further fields are the school's."""
    school = school or make.make_school(**fields)
    teacher = make.make_member(school, "teacher", "Mira Solberg")
    group = make.make_class(school, teacher=teacher)
    pupils = []
    for number, name in enumerate(names or ("Anouk Verhaegen",)):
        given, _, family = name.partition(" ")
        pupils.append(make.make_pupil(group, given, family, sort_name=f"{number:03d}"))
    by = make.viewer(teacher, school)
    rows = [PlannedRow(pupil.public_id, key) for pupil in pupils]
    check = plan_check(class_id=group.public_id, sat_on=on, rows=rows, by=by, on=TODAY)
    return Scene(school, teacher, group, pupils, check)


def cover_for(scene: Scene) -> User:
    user = make.make_member(scene.school, "cover", "Tove Lind")
    make.give_class(user, scene.group, cover=True)
    return user


def close(scene: Scene) -> None:
    from tracker.actions.checks import close_check

    close_check(check_id=scene.check.public_id, by=make.viewer(scene.teacher, scene.school), on=TODAY)
