"""The classes of the school, or one's own, with what is open in each."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


def open_as(user):
    return builders.sign_in(Client(), user).get("/classes/")


def test_classes_show_pupils_open_checks_and_open_flags(school):
    heron = builders.make_class(school, "Heron")
    builders.make_class(school, "Otter")
    one, _ = builders.make_pupils(heron, 2)
    builders.make_check(heron)
    builders.make_flag(one)

    response = open_as(builders.make_member(school, "coordinator"))

    lines = [(line.group.name, line.pupils, line.open_checks, line.open_flags) for line in response.context["lines"]]
    assert lines == [("Heron", 2, 1, 1), ("Otter", 0, 0, 0)]
    assert "Heron" in response.content.decode()


def test_classes_of_a_teacher_are_the_own_ones(school):
    teacher = builders.make_member(school, "teacher")
    builders.make_class(school, "Heron", teacher=teacher)
    builders.make_class(school, "Otter")

    response = open_as(teacher)

    assert [line.group.name for line in response.context["lines"]] == ["Heron"]


def test_classes_without_any_say_what_to_do(school):
    page = open_as(builders.make_member(school, "head")).content.decode()

    assert "No class this school year yet" in page


@pytest.mark.parametrize("number", [1, 3])
def test_classes_cost_the_same_for_any_number(school, number, django_assert_num_queries):
    coordinator = builders.make_member(school, "coordinator")
    for n in range(number):
        pupil = builders.make_pupil(builders.make_class(school, f"Class {n}"))
        builders.make_flag(pupil)
    client = builders.sign_in(Client(), coordinator)

    # Session, user and memberships; then classes, pupils, checks and flags.
    with django_assert_num_queries(7):
        response = client.get("/classes/")

    assert len(response.context["lines"]) == number


@pytest.mark.parametrize("role", ["cover", "assistant", "provider", "office", "parent"])
def test_classes_are_not_there_for_others(school, role):
    response = open_as(builders.make_member(school, role))

    assert response.status_code == 404
    assert "There is nothing here for you" in response.content.decode()
