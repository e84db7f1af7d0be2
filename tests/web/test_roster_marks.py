"""The marks that hold."""

import pytest

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.roster_scene import OWN_ONLY, as_role, cells, text, who_sees
from tracker.actions.marks import set_mark

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


PATH = "/roster/marks/"


def set_own(school, **changes):
    viewer = builders.viewer(builders.make_member(school, "office"), school)
    values = {"skill_key": "sub-2d-regroup", "accuracy": 0.925, "rate": 18, "source": "agreed", "valid_from": TODAY}
    return set_mark(**{**values, **changes}, by=viewer, on=TODAY)


def row(client, label):
    (found,) = [cells for cells in cells_of(client) if cells[0].startswith(label)]
    return found


def cells_of(client):
    return cells(client.get(PATH))[1:]


def test_marks_as_they_came_are_labelled_provisional(office):
    assert row(office, "Subtract two-digit numbers, with regrouping") == [
        "Subtract two-digit numbers, with regrouping common practice, no source, provisional",
        "20",
        "95 %",
    ]
    assert row(office, "Mixed year sheet, grade 4") == [
        "Mixed year sheet, grade 4 by analogy with Burns, VanDerHeyden and Jiban 2006, provisional",
        "49",
        "95 %",
    ]


def test_marks_without_a_default_say_so(office):
    assert row(office, "Mixed year sheet, grade 1") == ["Mixed year sheet, grade 1 set by the school", "–", "–"]
    assert row(office, "Copy digits")[1:] == ["–", "–"]


def test_marks_show_the_schools_own(school, office):
    set_own(school)
    set_own(school, rate=15, grade=2)
    set_own(school, rate=99, valid_from=TODAY.replace(year=2027))

    assert row(office, "Subtract two-digit numbers, with regrouping") == [
        "Subtract two-digit numbers, with regrouping agreed, from 20 November 2026; single grades have their own",
        "18",
        "92.5 %",
    ]


def test_marks_use_the_schools_words(school, office):
    school.words = {"subtract": "take away", "regrouping": "exchanging"}
    school.save()

    assert "Take away two-digit numbers, with exchanging" in text(office.get(PATH))


def test_marks_are_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


def test_marks_may_be_read_by_coordinator_and_deputy(school):
    assert [as_role(school, role).get(PATH).status_code for role in ("coordinator", "deputy")] == [200, 200]


@pytest.mark.parametrize("number", [0, 3])
def test_marks_asks_the_database_as_often_for_none_as_for_three(school, office, number, django_assert_num_queries):
    for key in ("add-tens", "sub-tens", "times-all")[:number]:
        set_own(school, skill_key=key)
    with django_assert_num_queries(4):
        office.get(PATH)
