"""The gradebook: one ruled number a pupil and skill, and who to look at."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import NOBODY, main_part, make_class_scene

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


@pytest.fixture
def path(scene):
    return f"/classes/{scene.group.public_id}/"


def test_overview_rules_the_rate_and_shows_accuracy_while_the_method_is_learnt(scene, path):
    pupil = builders.make_pupil(scene.group)
    builders.make_standing(pupil, "add-tens", "secure", last_rate=38.4)
    builders.make_standing(pupil, "sub-2d-regroup", "learning", pooled_accuracy=0.742)
    builders.make_standing(pupil, "sub-tens", "few", checks=1, last_rate=12.0)
    builders.make_flag(pupil)

    response = scene.get(f"{path}?all=1")
    page = main_part(response)

    (row,) = response.context["book"].rows
    assert [(cell.stage, cell.number) for cell in row.cells] == [("secure", "38"), ("few", "12"), ("learning", "74 %")]
    assert '<span class="stage" data-stage="secure"><b>38</b>' in page
    assert "<b>(12)</b>" in page
    assert "regrouping gap" in page
    assert "flags a year come by chance" in page or "flag a year comes by chance" in page


def test_overview_folds_skills_that_everybody_on_them_has_secure(scene, path):
    one, two = builders.make_pupils(scene.group, 2)
    builders.make_standing(one, "add-tens", "kept")
    builders.make_standing(two, "sub-tens", "quicker")

    folded, whole = scene.get(path), scene.get(f"{path}?all=1")

    assert [column.key for column in folded.context["book"].columns] == ["sub-tens"]
    assert "Show 1 skill that everybody on it has secure" in main_part(folded)
    assert [column.key for column in whole.context["book"].columns] == ["add-tens", "sub-tens"]


def test_overview_shows_each_grade_of_a_mixed_class(scene, path):
    builders.make_pupil(scene.group, grade=4)
    builders.make_pupil(scene.group, "Bilal", "Chaudry", grade=3)

    page = main_part(scene.get(path))

    assert "Grade 3, Grade 4, 2 pupils" in page
    assert '<td class="nowrap">Grade 4</td>' in page


def test_overview_of_the_teacher_leads_to_plan_and_scores(scene, path):
    check = scene.plan((builders.make_pupil(scene.group), "add-tens"))

    page = main_part(scene.get(path))

    assert f'href="/week/plan/{scene.group.public_id}/"' in page
    assert f'href="{path}checks/{check.public_id}/scores/"' in page
    assert "open, 1 left of 1" in page


def test_overview_of_a_reader_offers_neither_plan_nor_entry(scene, path):
    check = scene.plan((builders.make_pupil(scene.group), "add-tens"))
    teaching_elsewhere = builders.make_member(scene.school, "coordinator")
    builders.join(teaching_elsewhere, scene.school, "teacher")

    page = main_part(scene.get(path, teaching_elsewhere))

    assert "Plan the next check" not in page
    assert f'href="{path}checks/{check.public_id}/"' in page


def test_overview_says_once_what_the_class_needs_taught(scene, path):
    for pupil in builders.make_pupils(scene.group, 6):
        builders.make_standing(pupil, stage="learning", pooled_accuracy=0.7)
        builders.make_flag(pupil, kind="accuracy-low")

    response = scene.get(path)

    assert main_part(response).count("6 of 6 pupils get too many digits wrong here.") == 1
    assert [row.flags for row in response.context["book"].rows] == [()] * 6


def test_overview_is_nobody_elses(scene, path):
    assert scene.statuses(path) == NOBODY


def test_overview_of_an_empty_class_says_who_fills_it(scene, path):
    assert "No pupils in this class today" in main_part(scene.get(path))


def test_overview_before_the_first_check_says_when_numbers_come(scene, path):
    builders.make_pupil(scene.group)

    assert "No check is closed yet. Numbers stand here after the first one." in main_part(scene.get(path))


@pytest.mark.parametrize("number", [1, 3, 30])
def test_overview_costs_the_same_for_any_number(scene, path, number, django_assert_num_queries):
    for pupil in builders.make_pupils(scene.group, number):
        builders.make_standing(pupil)
        builders.make_standing(pupil, "sub-2d-plain", "secure")
        builders.make_flag(pupil)
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then class, places, standings, flags, whether taught, checks.
    with django_assert_num_queries(9):
        response = client.get(path)

    assert len(response.context["book"].rows) == number
