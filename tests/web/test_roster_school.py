"""The school's settings."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, errors, send, text, told, value_of, who_sees
from tracker.models import School

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return as_role(school)


PATH = "/roster/school/"
SETTINGS = {
    "name": "Harbour Lane School",
    "timezone": "Europe/Oslo",
    "language": "en",
    "week_start": "6",
    "date_order": "MDY",
    "typing": "reached-wrong",
    "grade": "year",
    "regrouping": "exchanging",
    "subtract": "take away",
}


def test_school_settings_are_changed(school, office):
    send(office, PATH, "change-school", **SETTINGS)
    school.refresh_from_db()

    assert told(office, PATH) == ["The settings were changed."]
    assert (school.timezone, school.week_start, school.date_order) == ("Europe/Oslo", 6, "MDY")
    assert (school.typing, school.words["grade"]) == ("reached-wrong", "year")
    assert value_of(office.get(PATH), "change-school-subtract") == "take away"


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": " "}, "This field is required."),
        ({"name": "MILL SCHOOL"}, "Another school here has this name."),
        ({"timezone": "Oslo"}, "Select a valid choice. Oslo is not one of the available choices."),
        ({"week_start": "7"}, "Select a valid choice. 7 is not one of the available choices."),
        ({"grade": "x" * 31}, "Ensure this value has at most 30 characters (it has 31)."),
    ],
)
def test_school_bad_field_gets_a_sentence_and_the_rest_is_kept(school, office, changes, sentence):
    builders.make_school("Mill School")
    response = send(office, PATH, "change-school", **{**SETTINGS, **changes})

    assert (response.status_code, errors(response)) == (422, [sentence])
    assert value_of(response, "change-school-regrouping") == "exchanging"
    assert School.objects.get(pk=school.pk).timezone == "UTC"


def test_school_skills_that_are_not_used(school, office):
    send(office, PATH, "set-skills", skills_off=["times-all", "divide-all"])
    school.refresh_from_db()
    body = office.get(PATH).content.decode()

    assert sorted(school.skills_off) == ["divide-all", "times-all"]
    assert body.count("checked") == 2
    send(office, PATH, "set-skills")
    school.refresh_from_db()
    assert school.skills_off == []


def test_school_as_it_began(office):
    assert value_of(office.get(PATH), "change-school-grade") == ""


def test_school_is_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


def test_school_is_changed_by_the_office_only(school):
    coordinator = as_role(school, "coordinator")

    assert "The office changes these settings." in text(coordinator.get(PATH))
    assert send(coordinator, PATH, "change-school", **SETTINGS).status_code == 404


@pytest.mark.parametrize("number", [1, 3])
def test_school_asks_the_database_as_often_for_one_class_as_for_three(
    school, office, number, django_assert_num_queries
):
    for one in range(number):
        builders.make_class(school, f"Class {one}")
    with django_assert_num_queries(3):
        office.get(PATH)
