"""A class with a history, for measuring."""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from django.db import transaction
from django.utils import timezone

from tests import builders
from tracker.actions import standings
from tracker.models import Attempt, Check, ClassGroup, Pupil, School, SchoolYear, Skill, User

KEYS = (
    "add-facts-20", "sub-facts-20", "add-tens", "sub-tens", "add-2d1d-plain", "add-2d-plain", "add-2d-regroup",
    "sub-2d-plain", "sub-2d-regroup", "mixed-2d", "add-3d-plain", "year-3",
)  # fmt: skip
WEEKS = 24


@dataclass(frozen=True)
class Built:
    school: School
    teacher: User
    group: ClassGroup
    pupil: Pupil
    open_check: Check
    weeks: int


def build(*, pupils: int, skills: int, today: date) -> Built:
    builders.make_ladder()
    school = School.objects.create(name="Measured School", created_at=timezone.now())
    starts = today - timedelta(weeks=WEEKS + 2)
    year = SchoolYear.objects.create(school=school, name="now", starts=starts, ends=today + timedelta(weeks=12))
    teacher = builders.make_user("Measured Teacher")
    builders.join(teacher, school, "teacher", starts=starts)
    group = ClassGroup.objects.create(school=school, year=year, name="Measured")
    builders.give_class(teacher, group, starts=starts)
    made = [_pupil(group, number, starts) for number in range(pupils)]
    _history(group, made, KEYS[:skills], today)
    check = builders.make_check(group, on=today)
    for pupil in made:
        builders.make_attempt(check, pupil, sheet=_sheet(school), taken_on=today)
    return Built(school, teacher, group, made[0], check, WEEKS)


def _pupil(group: ClassGroup, number: int, starts: date) -> Pupil:
    pupil = builders.make_pupil(group, f"Given{number}", f"Family{number:02d}", joined_on=starts)
    pupil.enrolments.update(starts=starts)
    return pupil


def _sheet(school: School):
    return school.sheets.first() or builders.make_sheet(school)


def _history(group: ClassGroup, pupils: list[Pupil], keys: tuple[str, ...], today: date) -> None:
    """Every pupil meets all skills in turn, two a week."""
    draw = Random(7)
    skills = {skill.key: skill for skill in Skill.objects.filter(key__in=keys)}
    rows = []
    for week in range(WEEKS):
        on = today - timedelta(weeks=WEEKS - week)
        check = builders.make_check(group, on=on, state="closed", closed_at=timezone.now())
        for pupil in pupils:
            for place in (week, week + len(keys) // 2):
                skill = skills[keys[place % len(keys)]]
                correct = max(0, round(draw.gauss(18 + week / 2, 5)))
                wrong = draw.randint(0, 4)
                rows.append(_row(check, pupil, skill, correct, wrong))
    Attempt.objects.bulk_create(rows)
    pairs = {(row.pupil_id, row.skill_id) for row in rows}
    with transaction.atomic():
        standings.refresh(school=group.school, pairs=pairs, on=today, at=timezone.now())


def _row(check: Check, pupil: Pupil, skill: Skill, correct: int, wrong: int) -> Attempt:
    return Attempt(
        school=check.school, check_sat=check, pupil=pupil, skill=skill, class_group=check.class_group, grade=3,
        taken_on=check.on, status="done", correct=correct, wrong=wrong, omitted=0, seconds=120,
    )  # fmt: skip
