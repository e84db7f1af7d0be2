"""The list of pupils, and looking for one."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, cells, send, text, told, who_sees
from tracker.models import Pupil
from tracker.queries.names import sort_name

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


PATH = "/roster/pupils/"


@pytest.fixture
def otter(school):
    return builders.make_class(school, "Otter")


def make(group, given, family, **fields):
    return builders.make_pupil(group, given, family, sort_name=sort_name(given, family), **fields)


def found(client, words):
    response = send(client, PATH, "find", words=words)
    assert words not in response.request["QUERY_STRING"]
    shown = text(response)
    return [name for name in ("Żaneta Øystersen", "Anouk O’Brien", "Anouk Berg", "عبد الرحمن") if name in shown]


@pytest.fixture
def some(otter):
    make(otter, "Żaneta", "Øystersen", school_ref="L-1")
    make(otter, "Anouk", "O’Brien", school_ref="L-2", grade=4)
    make(otter, "Anouk", "Berg", school_ref="L-3")


def test_pupils_by_name_with_class_and_grade(office, some):
    assert cells(office.get(PATH)) == [
        ["Pupil", "Reference", "Class", "Grade"],
        ["Anouk Berg", "L-3", "Otter", "3"],
        ["Anouk O’Brien", "L-2", "Otter", "4"],
        ["Żaneta Øystersen", "L-1", "Otter", "3"],
    ]


def test_pupils_sorted_by_reference(office, some):
    assert [row[1] for row in cells(office.get(PATH, {"sort": "-school_ref"}))[1:]] == ["L-3", "L-2", "L-1"]


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("oyst", ["Żaneta Øystersen"]),
        ("ZANETA", ["Żaneta Øystersen"]),
        ("obr anouk", ["Anouk O’Brien"]),
        ("anouk", ["Anouk O’Brien", "Anouk Berg"]),
        ("l-3", ["Anouk Berg"]),
        ("ersen", []),
        ("%", []),
    ],
)
def test_pupils_are_found_by_the_letters_a_name_begins_with_or_by_reference(office, some, words, names):
    assert found(office, words) == names


def test_pupils_found_in_another_script(office, otter):
    make(otter, "عبد الرحمن", "الأنصاري")

    assert found(office, "عبد") == ["عبد الرحمن"]


def test_pupils_nobody_found_says_so(office, some):
    assert "Nobody was found by this name or reference." in text(send(office, PATH, "find", words="zzz"))
    assert send(office, PATH, "find", words="").status_code == 422


def test_pupils_of_another_school_are_never_found(office, school):
    other = builders.make_class(builders.make_school("Mill School"))
    make(other, "Anouk", "Berg", school_ref="L-3")

    assert found(office, "Anouk") == []
    assert found(office, "L-3") == []


def test_pupils_who_left_or_are_in_no_class_stand_apart(office, otter):
    make(otter, "Anouk", "Here")
    make(otter, "Ole", "Left", left_on="2026-10-01").enrolments.update(ends="2026-10-01")
    make(otter, "Ida", "Loose").enrolments.update(ends="2026-10-01")

    def names(show):
        return [row[0] for row in cells(office.get(PATH, {"show": show}))[1:]]

    assert (names("here"), names("left"), names("loose")) == (["Anouk Here", "Ida Loose"], ["Ole Left"], ["Ida Loose"])


def test_pupils_are_shown_fifty_at_a_time(office, otter):
    builders.make_pupils(otter, 53)

    assert len(cells(office.get(PATH))) == 51
    assert [row[0] for row in cells(office.get(PATH, {"page": 2}))[1:]] == [
        "Pupil51 Name51",
        "Pupil52 Name52",
        "Pupil53 Name53",
    ]


@pytest.mark.parametrize(
    ("asked", "first"),
    [("page=-1", 50), ("page=0", 50), ("page=x", 0), ("page=9", 50), ("per_page=-1", 0), ("per_page=0", 0),
     ("per_page=1", 0), ("class=%00", 0), ("show=%00", 0), ("sort=%00", 0)],
)  # fmt: skip
def test_pupils_page_stands_whatever_the_address_says(office, otter, asked, first):
    for number in range(53):
        make(otter, "Pupil", f"Name{number:02d}")

    shown = office.get(f"{PATH}?{asked}")

    names = [row[0] for row in cells(shown)[1:]]
    assert (shown.status_code, len(names)) == (200, 50 if first == 0 else 3)
    assert f"Name{first:02d}" in names[0]


def test_pupils_gets_a_new_one(office, otter):
    values = {"given_name": "Anouk", "school_ref": "L-1", "class_id": otter.public_id, "grade": "3", "mode": "oral"}
    response = send(office, PATH, "add-pupil", **values, starts="2026-11-20", no_timed_checks="on")
    pupil = Pupil.objects.get()

    assert response["Location"] == f"{PATH}?again=add-pupil"
    assert told(office, PATH) == ["The pupil was added."]
    assert (pupil.mode, pupil.no_timed_checks, str(pupil)) == ("oral", True, "Anouk")


def test_pupils_empty(office):
    assert "No pupil yet" in text(office.get(PATH))
    assert "Nobody has left." in text(office.get(PATH, {"show": "left"}))
    assert "Every pupil is in a class." in text(office.get(PATH, {"show": "loose"}))


def test_pupils_are_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


def test_pupils_may_be_looked_for_by_the_coordinator(school, some):
    coordinator = as_role(school, "coordinator")

    assert found(coordinator, "berg") == ["Anouk Berg"]
    assert send(coordinator, PATH, "add-pupil", given_name="x").status_code == 404


@pytest.mark.parametrize("number", [1, 3])
def test_pupils_asks_the_database_as_often_for_one_as_for_three(office, otter, number, django_assert_num_queries):
    builders.make_pupils(otter, number)
    with django_assert_num_queries(6):
        office.get(PATH)
