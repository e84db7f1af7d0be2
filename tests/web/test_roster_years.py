"""School years."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, cells, errors, send, text, told, value_of, who_sees
from tracker.models import SchoolYear

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


PATH = "/roster/years/"
NEXT = {"name": "2027/28", "starts": "2027-09-06", "ends": "2028-06-30"}


def test_years_newest_first(school, office):
    builders.make_class(school)
    send(office, PATH, "add-year", **NEXT)

    assert told(office, PATH) == ["The year is there. Add its terms and breaks next."]
    assert cells(office.get(PATH)) == [
        ["Year", "Days", "Classes"],
        ["2027/28", "6 September 2027 to 30 June 2028", "0"],
        ["2026/27", "7 September 2026 to 2 July 2027", "1"],
    ]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"starts": "2027-02-30"}, "Write a day that exists as year-month-day, for example 2026-09-07."),
        ({"ends": ""}, "This field is required."),
        ({"ends": "2027-09-06"}, "The last day must come after the first day."),
        ({"starts": "2027-06-01"}, "These days overlap with “2026/27”, from 7 September 2026 to 2 July 2027."),
        ({"name": "x" * 41}, "Ensure this value has at most 40 characters (it has 41)."),
    ],
)
def test_years_bad_field_gets_a_sentence_and_the_rest_is_kept(office, changes, sentence):
    response = send(office, PATH, "add-year", **{**NEXT, **changes})

    assert response.status_code == 422
    assert errors(response) == [sentence]
    assert value_of(response, "add-year-starts") == {**NEXT, **changes}["starts"]
    assert SchoolYear.objects.count() == 1


def test_years_empty(school, office):
    school.years.all().delete()

    assert "No school year yet" in text(office.get(PATH))


def test_years_are_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


def test_years_may_be_read_and_not_added_to_by_the_coordinator(school):
    coordinator = as_role(school, "coordinator")

    assert "Add a school year" not in text(coordinator.get(PATH))
    assert send(coordinator, PATH, "add-year", **NEXT).status_code == 404
    assert SchoolYear.objects.count() == 1


def test_years_form_that_is_unknown_is_not_there(office):
    assert send(office, PATH, "add-planet", **NEXT).status_code == 404


@pytest.mark.parametrize("more", [0, 2])
def test_years_asks_the_database_as_often_for_one_year_as_for_three(school, office, more, django_assert_num_queries):
    for number in range(more):
        values = {"starts": f"20{30 + number}-09-01", "ends": f"20{31 + number}-07-01"}
        SchoolYear.objects.create(school=school, name=f"Year {number}", **values)
    with django_assert_num_queries(4):
        office.get(PATH)
