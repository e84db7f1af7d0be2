"""One school year with its terms and breaks."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import HIDDEN, as_role, errors, send, text, told, value_of, who_sees
from tracker.models import Break, SchoolYear, Term

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


AUTUMN = {"name": "Autumn", "starts": "2026-09-07", "ends": "2026-12-18"}


@pytest.fixture
def path(school):
    return f"/roster/years/{builders.year_of(school).public_id}/"


def test_year_gets_terms_and_breaks(office, path):
    send(office, path, "add-term", **AUTUMN)
    first = told(office, path)
    send(office, path, "add-break", name="Autumn break", starts="2026-10-26", ends="2026-10-30")
    shown = text(office.get(path))

    assert first == ["The term was added."]
    assert "Autumn 7 September 2026 to 18 December 2026" in shown
    assert "Autumn break 26 October 2026 to 30 October 2026" in shown


def test_year_term_is_changed_and_removed_beside_its_row(office, path):
    send(office, path, "add-term", **AUTUMN)
    key = Term.objects.get().public_id
    row = {f"term_id-{key}-{name}": value for name, value in {**AUTUMN, "ends": "2026-12-20"}.items()}
    send(office, path, "change-term", row=key, **row)
    changed = Term.objects.get()
    send(office, path, "remove-term", row=key)

    assert str(changed.ends) == "2026-12-20"
    assert told(office, path) == ["The term was added.", "The term was changed.", "The term was removed."]
    assert Term.objects.count() == 0


def test_year_wrong_row_keeps_what_was_typed(office, path):
    send(office, path, "add-break", name="Autumn break", starts="2026-10-26", ends="2026-10-30")
    key = Break.objects.get().public_id
    row = {f"break_id-{key}-name": "Longer", f"break_id-{key}-starts": "2026-10-26"}
    response = send(office, path, "change-break", row=key, **row, **{f"break_id-{key}-ends": "2028-01-01"})

    assert response.status_code == 422
    assert errors(response) == ["This day is outside the school year, which runs from 7 September 2026 to 2 July 2027."]
    assert value_of(response, f"break_id-{key}-name") == "Longer"
    assert Break.objects.get().name == "Autumn break"


def test_year_row_of_another_school_is_not_there(office, path):
    other = builders.make_school("Mill School")
    term = Term.objects.create(
        school=other, year=builders.year_of(other), name="T", starts="2026-09-07", ends="2026-10-07"
    )

    assert send(office, path, "remove-term", row=term.public_id).status_code == 404
    assert Term.objects.count() == 1


def test_year_is_changed_and_removed(office, path, school):
    send(office, path, "change-year", name="Year of the hare", starts="2026-09-01", ends="2027-07-02")
    changed = SchoolYear.objects.get()
    gone = send(office, path, "remove-year")

    assert (changed.name, str(changed.starts)) == ("Year of the hare", "2026-09-01")
    assert (gone.status_code, gone["Location"]) == (302, "/roster/years/")
    assert school.years.count() == 0


def test_year_with_classes_is_not_removed(office, path, school):
    builders.make_class(school)
    response = send(office, path, "remove-year")

    assert errors(response) == ["This year has classes. Remove those first; a year with checks stays."]
    assert school.years.count() == 1


def test_year_empty(office, path):
    shown = text(office.get(path))

    assert ("No terms yet" in shown, "No breaks yet" in shown) == (True, True)


def test_year_is_hidden_from_strangers(school, path):
    assert who_sees(school, path) == HIDDEN


def test_year_may_be_read_and_not_changed_by_the_coordinator(school, path):
    coordinator = as_role(school, "coordinator")

    assert "Add a term" not in text(coordinator.get(path))
    assert send(coordinator, path, "add-term", **AUTUMN).status_code == 404


@pytest.mark.parametrize("number", [1, 3])
def test_year_asks_the_database_as_often_for_one_term_as_for_three(
    school, office, path, number, django_assert_num_queries
):
    year = builders.year_of(school)
    for month in range(number):
        days = {"starts": f"2027-0{month + 1}-01", "ends": f"2027-0{month + 1}-20"}
        Term.objects.create(school=school, year=year, name=f"Term {month}", **days)
        Break.objects.create(school=school, year=year, name=f"Break {month}", **days)
    with django_assert_num_queries(6):
        office.get(path)
