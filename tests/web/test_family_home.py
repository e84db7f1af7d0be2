"""A parent's page: the own children, in plain words."""

from datetime import date, timedelta

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW, TODAY

pytestmark = pytest.mark.django_db

LARGEST = 150_000  # bytes, on a telephone


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def heron(school):
    return builders.make_class(school, teacher=builders.make_member(school, "teacher", "Ines Okafor"))


@pytest.fixture
def parent(school):
    return builders.make_member(school, "parent", "Ruta Verhaegen")


def family_page(user):
    return builders.sign_in(Client(), user).get("/family/")


def test_home_shows_the_child_the_work_the_last_check_and_whom_to_ask(heron, parent):
    child = builders.make_pupil(heron)
    builders.link_guardian(parent, child)
    builders.make_history(child, [(30, 2)])
    builders.make_standing(child)

    page = family_page(parent).content.decode()

    assert "Anouk Verhaegen" in page
    assert "Heron" in page
    assert "Subtract two-digit numbers, with regrouping" in page
    assert "“regrouping” means swapping ten ones for a ten, or a ten for ten ones." in page
    assert "The last check was on 13 November 2026." in page
    assert "Ines Okafor" in page


def test_home_tells_no_rate_no_stage_and_no_flag(heron, parent):
    child = builders.make_pupil(heron)
    builders.link_guardian(parent, child)
    builders.make_standing(child, last_rate=17.5)
    builders.make_flag(child)

    page = family_page(parent).content.decode().split("<main")[1].split("</main>")[0]

    assert "17.5" not in page
    assert "getting quicker" not in page
    assert "regrouping gap" not in page


def test_home_leaves_out_what_is_secure_and_sheets_that_are_no_step(heron, parent):
    child = builders.make_pupil(heron)
    builders.link_guardian(parent, child)
    builders.make_standing(child, "add-2d-plain", "secure")
    builders.make_standing(child, "year-3", "quicker")
    builders.make_standing(child, "sub-2d-plain", "learning")

    context = family_page(parent).context["children"]

    assert [one["child"].skill_keys for one in context] == [("sub-2d-plain",)]


def test_home_of_another_childs_parent_does_not_show_this_child(heron, parent):
    builders.link_guardian(parent, builders.make_pupil(heron))
    other = builders.make_member(heron.school, "parent")
    builders.link_guardian(other, builders.make_pupil(heron, "Bram", "Osei"))

    page = family_page(other).content.decode()

    assert "Bram Osei" in page
    assert "Anouk" not in page


def test_home_ends_with_the_link(heron, parent):
    builders.link_guardian(parent, builders.make_pupil(heron), ends=TODAY - timedelta(days=1))

    page = family_page(parent).content.decode()

    assert "No child is linked to you today" in page
    assert "Anouk" not in page


@pytest.mark.parametrize("role", ["teacher", "coordinator", "office", "head"])
def test_home_is_not_there_for_staff(school, role):
    response = family_page(builders.make_member(school, role))

    assert response.status_code == 404
    assert "There is nothing here for you" in response.content.decode()


def test_home_before_the_first_check_says_so(heron, parent):
    builders.link_guardian(parent, builders.make_pupil(heron))

    assert "There is nothing to show yet" in family_page(parent).content.decode()


@pytest.mark.parametrize("number", [1, 3])
def test_home_costs_the_same_for_any_number_of_children(heron, parent, number, django_assert_num_queries):
    for child in builders.make_pupils(heron, number):
        builders.link_guardian(parent, child)
        builders.make_standing(child)
    client = builders.sign_in(Client(), parent)

    # Session, user and memberships; then children, places, teachers, standings and last checks.
    with django_assert_num_queries(8):
        response = client.get("/family/")

    assert len(response.context["children"]) == number


def test_home_needs_no_script_and_is_small(heron, parent):
    for child in builders.make_pupils(heron, 3):
        builders.link_guardian(parent, child)
        builders.make_history(child, [(30, 2)] * 10)
        builders.make_standing(child)

    body = family_page(parent).content

    assert b"<script" not in body
    assert len(body) < LARGEST


def test_home_uses_the_schools_own_words(heron, parent):
    heron.school.words = {"regrouping": "exchanging"}
    heron.school.save()
    child = builders.make_pupil(heron, joined_on=date(2026, 9, 7))
    builders.link_guardian(parent, child)
    builders.make_standing(child)

    assert "Subtract two-digit numbers, with exchanging" in family_page(parent).content.decode()
