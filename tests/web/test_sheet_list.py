"""The sheets of the school, in ladder order."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import main_part, make_class_scene
from tracker.actions.sheet_forms import make_form

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


def make_sheets(scene, *keys):
    return [make_form(skill_key=key, by=scene.viewer, on=builders.TODAY) for key in keys]


def test_list_shows_each_skill_with_its_forms(scene):
    make_sheets(scene, "sub-2d-regroup", "add-tens", "add-tens")

    response = scene.get("/sheets/")
    page = main_part(response)

    lines = [(line.skill, [sheet.form for sheet in line.forms]) for line in response.context["lines"]]
    assert lines == [("Add tens", [1, 2]), ("Subtract two-digit numbers, with regrouping", [1])]
    assert "Make the next form" in page


def test_list_shows_nothing_of_another_school(scene):
    make_sheets(scene, "add-tens")
    elsewhere = scene.strangers()

    assert scene.get("/sheets/", elsewhere["other school"]).context["lines"] == []
    assert scene.get("/sheets/", elsewhere["parent"]).status_code == 404


def test_list_lets_those_print_who_may_not_make(scene):
    make_sheets(scene, "add-tens")
    assistant = builders.make_member(scene.school, "assistant")

    page = main_part(scene.get("/sheets/", assistant))

    assert "Add tens" in page
    assert "Make the next form" not in page


def test_list_without_sheets_says_where_they_come_from(scene):
    assert "No sheets yet" in main_part(scene.get("/sheets/"))


@pytest.mark.parametrize("number", [1, 3, 9])
def test_list_costs_the_same_for_any_number(scene, number, django_assert_num_queries):
    make_sheets(scene, *["add-tens"] * number)
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then sheets.
    with django_assert_num_queries(4):
        response = client.get("/sheets/")

    assert len(response.context["lines"][0].forms) == number
