"""The first page after signing in, by role, and the ways on from it."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from tests import builders
from tests.builders import NOW, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


def open_as(user, path="/"):
    return builders.sign_in(Client(), user).get(path)


def test_landing_anonymous_is_led_to_the_sign_in_page(client):
    response = client.get("/")

    assert (response.status_code, response["Location"]) == (302, "/account/sign-in/?next=/")


@pytest.mark.parametrize(
    ("role", "name"),
    [
        ("teacher", "week-overview"),
        ("coordinator", "home-classes"),
        ("deputy", "home-classes"),
        ("head", "home-classes"),
        ("office", "roster-overview"),
        ("assistant", "home-groups"),
        ("provider", "home-groups"),
        ("cover", "home-today"),
        ("parent", "family-home"),
    ],
)
def test_landing_goes_to_the_first_page_of_the_role(school, role, name):
    response = open_as(builders.make_member(school, role))

    assert (response.status_code, response["Location"]) == (302, reverse(name))


def test_landing_of_several_roles_is_the_teachers(school):
    user = builders.make_member(school, "coordinator")
    builders.join(user, school, "teacher")

    assert open_as(user)["Location"] == reverse("week-overview")


def test_landing_without_a_role_says_whom_to_ask(school):
    user = builders.make_user()
    builders.join(user, school, "teacher", ends=TODAY - timedelta(days=1))

    page = open_as(user).content.decode()

    assert "Nothing is open to you today" in page
    assert "Harbour Lane School" in page


def test_landing_of_a_new_account_names_no_school(school):
    page = open_as(builders.make_user()).content.decode()

    assert "no school has given you a role yet" in page
    assert "Harbour Lane School" not in page


def test_navigation_holds_the_ways_of_the_role_and_marks_where_one_is(school):
    response = open_as(builders.make_member(school, "coordinator"), "/classes/")

    ways = {str(way["label"]): way["current"] for way in response.context["nav"]}
    assert ways["Classes"] is True
    assert [label for label, current in ways.items() if current] == ["Classes"]
    assert "This week" not in ways
    assert "My children" not in ways


def test_navigation_of_cover_is_today_alone(school):
    response = open_as(builders.make_member(school, "cover"), "/today/")

    assert [str(way["label"]) for way in response.context["nav"]] == ["Today’s check"]
