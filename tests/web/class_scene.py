"""A class with its teacher, and the people who must not see it, for tests of pages about a class."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.test import Client

from tests import builders
from tests.builders import TODAY
from tracker.access.viewer import Viewer
from tracker.actions.checks import PlannedRow, plan_check
from tracker.models import Check, ClassGroup, Pupil, School, User


@dataclass(frozen=True)
class ClassScene:
    school: School
    group: ClassGroup
    teacher: User

    @property
    def viewer(self) -> Viewer:
        return builders.viewer(self.teacher, self.school)

    def plan(self, *pairs: tuple[Pupil, str], on: date = TODAY) -> Check:
        rows = [PlannedRow(pupil.public_id, key) for pupil, key in pairs]
        return plan_check(class_id=self.group.public_id, sat_on=on, rows=rows, by=self.viewer, on=TODAY)

    def get(self, path: str, user: User | None = None) -> Any:
        return builders.sign_in(Client(), user or self.teacher).get(path)

    def post(self, path: str, data: dict[str, Any], user: User | None = None) -> Any:
        return builders.sign_in(Client(), user or self.teacher).post(path, data)

    def strangers(self) -> dict[str, User]:
        """A teacher of another class, a parent of a child in this one, the coordinator of another school."""
        other_teacher = builders.make_member(self.school, "teacher", "Ines Kowalczyk")
        builders.make_class(self.school, "Otter", teacher=other_teacher)
        parent = builders.make_member(self.school, "parent", "Rosa Quill")
        builders.link_guardian(parent, builders.make_pupil(self.group, "Oisín", "Quill"))
        elsewhere = builders.make_member(builders.make_school("Mill Road School"), "coordinator", "Piet Maas")
        return {"other teacher": other_teacher, "parent": parent, "other school": elsewhere}

    def statuses(self, path: str) -> dict[str, int]:
        return {who: self.get(path, user).status_code for who, user in self.strangers().items()}


NOBODY = {"other teacher": 404, "parent": 404, "other school": 404}


def make_class_scene() -> ClassScene:
    school = builders.make_school()
    teacher = builders.make_member(school, "teacher", "Mira Solberg")
    return ClassScene(school, builders.make_class(school, teacher=teacher), teacher)


def main_part(response: Any) -> str:
    """The page's own part, without head and footer, white space made single."""
    return " ".join(response.content.decode().split("<main")[1].split("</main>")[0].split())
