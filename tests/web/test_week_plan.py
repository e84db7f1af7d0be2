"""The plan of the next check: what is proposed, what may be changed, and what bad input gets."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.class_scene import NOBODY, main_part, make_class_scene
from tracker.models import Check

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


@pytest.fixture
def path(scene):
    return f"/week/plan/{scene.group.public_id}/"


def planned(*pairs, sat_on="2026-11-20", **more):
    return {"sat_on": sat_on, **{f"skill-{pupil.public_id}": key for pupil, key in pairs}, **more}


def rows_of(check):
    return sorted(check.attempts.values_list("pupil__given_name", "skill__key", "seconds"))


def test_plan_proposes_a_skill_for_each_with_the_reason(scene, path):
    first, _second = builders.make_pupils(scene.group, 2)
    builders.make_standing(first, "sub-2d-plain", stage="secure", secure_on=TODAY, last_on=TODAY)
    builders.make_standing(first, "sub-2d-regroup", stage="learning", last_on=TODAY)

    response = scene.get(path)

    lines = [(line.name, line.skill_key, line.why) for line in response.context["plan"].lines]
    assert lines[0] == ("Pupil01 Name01", "sub-2d-regroup", "learning")
    assert (lines[1][0], lines[1][2]) == ("Pupil02 Name02", "first check: nothing on record yet")
    assert '<option value="sub-2d-regroup" selected>' in main_part(response)


def test_plan_makes_the_check_and_leads_to_the_sheets(scene, path):
    timed, untimed, away = builders.make_pupils(scene.group, 3)
    sent = planned((timed, "add-tens"), (untimed, "sub-tens"), (away, ""), print="1")

    response = scene.post(path, sent | {f"untimed-{untimed.public_id}": "on"})

    check = Check.objects.get()
    assert (response.status_code, response["Location"]) == (302, f"{path}checks/{check.public_id}/print/")
    assert rows_of(check) == [("Pupil01", "add-tens", 120), ("Pupil02", "sub-tens", None)]


def test_plan_sent_twice_makes_one_check(scene, path):
    pupil = builders.make_pupil(scene.group)

    first, second = (scene.post(path, planned((pupil, "add-tens"))) for _ in range(2))

    assert first["Location"] == second["Location"]
    assert Check.objects.count() == 1


def test_plan_offers_the_open_check_of_the_day_instead_of_a_second_one(scene, path):
    one, two = builders.make_pupils(scene.group, 2)
    check = scene.plan((one, "add-tens"))

    response = scene.post(path, planned((two, "sub-tens")))
    page = main_part(response)

    assert response.status_code == 422
    assert "A check of that day is open already: change its plan, or choose another day." in page
    assert f'href="{path}checks/{check.public_id}/"' in page
    assert Check.objects.count() == 1


def test_plan_for_everyone_gives_each_grade_its_own_year_sheet(scene, path):
    builders.make_pupil(scene.group, "Three", "Aa", grade=3)
    builders.make_pupil(scene.group, "Four", "Bb", grade=4)

    response = scene.get(f"{path}?everyone=year")

    assert [line.skill_key for line in response.context["plan"].lines] == ["year-3", "year-4"]
    assert "Grade 4" in main_part(response)


@pytest.mark.parametrize(
    ("day", "key", "sentence"),
    [
        ("", "add-tens", "Choose the day of the check."),
        ("20.11.2026", "add-tens", "Choose a day of the calendar."),
        ("2027-08-01", "add-tens", "The day must lie in the school year of the class"),
        ("2026-11-20", "", "Choose at least one pupil for the check."),
        ("2026-11-20", "juggling", "This school does not use that skill."),
    ],
)
def test_plan_says_what_is_wrong_and_makes_nothing(scene, path, day, key, sentence):
    pupil = builders.make_pupil(scene.group)

    response = scene.post(path, planned((pupil, key), sat_on=day))

    assert response.status_code == 422
    assert sentence in main_part(response)
    assert Check.objects.count() == 0


def test_plan_of_a_day_in_a_break_is_made_and_said(scene, path):
    scene.group.year.breaks.create(school=scene.school, name="Autumn break", starts=TODAY, ends=TODAY)

    builders.sign_in(client := Client(), scene.teacher)
    made = client.post(path, planned((builders.make_pupil(scene.group), "add-tens")))

    assert made.status_code == 302
    assert "lies in a break (Autumn break)" in client.get("/week/").content.decode()


def test_plan_cannot_reach_a_child_of_another_class(scene, path):
    builders.make_pupil(scene.group)
    other = builders.make_pupil(builders.make_class(scene.school, "Otter"))

    response = scene.post(path, planned((other, "add-tens")))

    assert response.status_code == 422
    assert Check.objects.count() == 0


def test_plan_is_nobody_elses(scene, path):
    builders.make_pupil(scene.group)

    assert scene.statuses(path) == NOBODY
    assert scene.get(path, builders.make_member(scene.school, "coordinator")).status_code == 404


def test_plan_of_an_empty_class_says_who_fills_it(scene, path):
    assert "No pupils in this class today" in main_part(scene.get(path))


@pytest.mark.parametrize("number", [1, 3, 30])
def test_plan_costs_the_same_for_any_number(scene, path, number, django_assert_num_queries):
    for pupil in builders.make_pupils(scene.group, number):
        builders.make_standing(pupil)
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then class, places, standings, what was sat lately, open checks.
    with django_assert_num_queries(8):
        response = client.get(path)

    assert len(response.context["plan"].lines) == number
