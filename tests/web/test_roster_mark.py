"""The mark of one skill: as it came, and the school's own."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, errors, send, text, told, value_of, who_sees
from tracker.models import Mark

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


PATH = "/roster/marks/sub-2d-regroup/"
NEW = {"accuracy": "92.5", "rate": "18.5", "source": "agreed by the teachers", "valid_from": "2026-11-20"}


def test_mark_is_set_and_the_older_one_stays(office):
    response = send(office, PATH, "set-mark", **NEW)
    send(office, PATH, "set-mark", **{**NEW, "rate": "22", "grade": "4"})
    shown = text(office.get(PATH))

    assert response["Location"] == "/roster/marks/"
    assert "20 digits correct a minute and 95 % right common practice, no source, provisional" in shown
    assert (
        "18.5 digits correct a minute and 92.5 % right, from 20 November 2026 agreed by the teachers, Office" in shown
    )
    assert "Grade 4: 22 digits correct a minute" in shown
    assert [float(mark.accuracy) for mark in Mark.objects.all()] == [0.925, 0.925]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"accuracy": "49"}, "Write a number from 50 to 100."),
        ({"accuracy": "101"}, "Write a number from 50 to 100."),
        ({"accuracy": "95,5"}, "Write a number from 50 to 100."),
        ({"rate": "0"}, "Write a number from 1 to 200."),
        ({"rate": "-5"}, "Write a number from 1 to 200."),
        ({"rate": "NaN"}, "Write a number from 1 to 200."),
        ({"source": ""}, "This field is required."),
        ({"grade": "14"}, "Write a whole number from 0 to 13."),
        ({"valid_from": "soon"}, "Write a day that exists as year-month-day, for example 2026-09-07."),
    ],
)
def test_mark_bad_field_gets_a_sentence_and_the_rest_is_kept(office, changes, sentence):
    response = send(office, PATH, "set-mark", **{**NEW, **changes})

    assert (response.status_code, errors(response)) == (422, [sentence])
    assert value_of(response, "set-mark-source") == {**NEW, **changes}["source"]
    assert Mark.objects.count() == 0


def test_mark_of_the_first_year_sheet_is_the_schools_to_set(office):
    path = "/roster/marks/year-1/"
    before = text(office.get(path))
    send(office, path, "set-mark", **NEW)

    assert "Nothing: the school sets this mark." in before
    assert 'name="set-mark-grade"' not in office.get(path).content.decode()
    assert Mark.objects.get().skill.key == "year-1"


def test_mark_of_copying_there_is_none(office):
    path = "/roster/marks/copying/"

    assert "Copying has no mark" in text(office.get(path))
    assert send(office, path, "set-mark", **NEW).status_code == 422
    assert Mark.objects.count() == 0


def test_mark_empty_says_none_yet(office):
    assert "None yet." in text(office.get(PATH))


def test_mark_of_no_skill_is_not_there(office):
    assert office.get("/roster/marks/juggling/").status_code == 404


def test_mark_is_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


@pytest.mark.parametrize("role", ["coordinator", "deputy", "office"])
def test_mark_may_be_set_by_those_who_set_marks(school, role):
    client = as_role(school, role)
    send(client, PATH, "set-mark", **NEW)

    assert told(client, PATH) == ["The mark is set. Marks that were reached before stay as they are."]
    assert Mark.objects.get().set_by.name == role.title()


@pytest.mark.parametrize("number", [1, 3])
def test_mark_asks_the_database_as_often_for_one_as_for_three(office, number, django_assert_num_queries):
    for _ in range(number):
        send(office, PATH, "set-mark", **NEW)
    office.get(PATH)
    with django_assert_num_queries(4):
        office.get(PATH)
