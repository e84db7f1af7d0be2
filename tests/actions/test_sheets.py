from datetime import timedelta

import pytest

from tests import builders as make
from tests.actions.scene import ON, make_scene
from tracker.actions.checks import PlannedRow
from tracker.actions.sheets import FORMS, next_form, sheet_for, week_of
from tracker.measures.problems import Problem
from tracker.measures.sheets import timed_sheet
from tracker.models import Mark, Sheet, SheetItem

KEY = "sub-2d-regroup"


@pytest.fixture
def school(db):
    return make.make_school()


def sheet(school, key=KEY, form=1):
    return sheet_for(school=school, skill_key=key, form=form, at=make.NOW)


def test_sheet_is_made_once_with_its_items_and_a_key_that_can_be_counted_again(school):
    made = sheet(school)

    items = list(made.items.order_by("number"))
    problems = [Problem(one.operation, one.top, one.bottom, unknown=one.unknown) for one in items]
    assert tuple(problems) == timed_sheet(KEY, 1).problems
    assert [one.answer for one in items] == [str(one.top - one.bottom) for one in items]
    assert [one.running_digits for one in items] == [
        sum(len(i.answer) for i in items[: n + 1]) for n in range(len(items))
    ]
    assert (made.digits_possible, made.seconds) == (items[-1].running_digits, 180)
    assert sheet(school) == made
    assert SheetItem.objects.count() == len(items)


def test_code_is_short_and_tells_step_and_form(school):
    position = make.skill(KEY).position

    assert [sheet(school, form=form).code for form in (1, 2, 12)] == [f"{position}-{n}" for n in (1, 2, 12)]


def test_code_that_is_taken_gets_a_letter(school):
    position = make.skill(KEY).position
    make.make_sheet(school, KEY, form=1, code=f"{position}-1", generator="older")

    assert sheet(school).code == f"{position}-1b"


def test_sheet_is_long_enough_for_a_school_with_a_higher_mark(school):
    Mark.objects.create(
        school=school,
        skill=make.skill(KEY),
        accuracy=0.95,
        rate=40,
        source="school",
        version=1,
        valid_from=make.YEAR_STARTS,
        recorded_at=make.NOW,
    )

    assert sheet(school).digits_possible >= 1.3 * 40 * 3


def test_copying_sheet_has_no_second_number(school):
    made = sheet(school, "copying")

    assert (made.kind, {item.bottom for item in made.items.all()}) == ("copying", {None})


@pytest.mark.parametrize(
    "key", ["add-facts-10", "missing-20", "divide-all", "times-2d1d", "mixed-2d", "year-1", "year-5"]
)
def test_every_kind_of_skill_has_a_sheet_with_right_answers(school, key):
    for item in sheet(school, key).items.all():
        problem = Problem(item.operation, item.top, item.bottom, unknown=item.unknown)
        assert (item.answer, item.digits) == (str(problem.answer), len(item.answer))


def test_form_stays_for_a_week_and_then_goes_on(db):
    scene = make_scene()
    pupils = [scene.pupil(f"Pupil{n}") for n in range(3)]
    skill = make.skill(KEY)

    def usual(on, grade=3):
        return next_form(school=scene.school, skill=skill, grade=grade, on=on)

    monday = week_of(ON, week_start=0)[0]
    assert usual(monday) == 1
    scene.plan(PlannedRow(pupils[0].public_id, KEY), on=monday)
    scene.plan(PlannedRow(pupils[1].public_id, KEY), on=monday + timedelta(days=4))
    assert (usual(ON), usual(ON + timedelta(weeks=1)), usual(ON, grade=4)) == (1, 2, 1)
    scene.plan(PlannedRow(pupils[2].public_id, KEY), on=monday + timedelta(weeks=2))
    assert usual(monday + timedelta(weeks=3)) == 3
    assert set(Sheet.objects.values_list("form", flat=True)) == {1, 2}


def test_form_planned_between_two_weeks_is_neither_the_one_before_nor_the_one_after(db):
    scene = make_scene()
    monday = week_of(ON, week_start=0)[0]
    scene.plan(PlannedRow(scene.pupil().public_id, KEY, form=1), on=monday)
    scene.plan(PlannedRow(scene.pupil().public_id, KEY, form=2), on=monday + timedelta(weeks=2))

    assert next_form(school=scene.school, skill=make.skill(KEY), grade=3, on=monday + timedelta(weeks=1)) == 3


def test_last_form_is_followed_by_the_first(db):
    scene = make_scene()
    scene.plan(PlannedRow(scene.pupil().public_id, KEY, form=FORMS), on=ON)

    assert next_form(school=scene.school, skill=make.skill(KEY), grade=3, on=ON + timedelta(weeks=1)) == 1


@pytest.mark.parametrize(("week_start", "first"), [(0, 16), (6, 15)])
def test_week_begins_on_the_schools_day(week_start, first):
    assert [day.day for day in week_of(ON, week_start=week_start)] == [first, first + 6]
