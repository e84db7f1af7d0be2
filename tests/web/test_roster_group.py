"""One class: its pupils, and who teaches it when."""

import pytest

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.roster_scene import HIDDEN, as_role, cells, errors, send, text, told, value_of, who_sees
from tracker.models import ClassGroup, Enrolment, Pupil, Teaching

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


PUPIL = {"given_name": "Anouk", "family_name": "Verhaegen", "school_ref": "L-1", "grade": "3"}


@pytest.fixture
def otter(school):
    return builders.make_class(school, "Otter")


@pytest.fixture
def path(otter):
    return f"/roster/classes/{otter.public_id}/"


def add(client, path, otter, **changes):
    values = {**PUPIL, "class_id": otter.public_id, "starts": "2026-09-14", "mode": "written", **changes}
    return send(client, path, "add-pupil", **values)


def test_group_gets_pupils_one_after_another(office, path, otter):
    response = add(office, path, otter)
    add(office, path, otter, school_ref="L-2", given_name="  Żaneta ", family_name="Øystersen")
    again = office.get(response["Location"])

    assert response["Location"] == f"{path}?again=add-pupil"
    assert cells(office.get(path))[1:] == [
        ["Żaneta Øystersen from 14 September 2026", "L-2", "3"],
        ["Anouk Verhaegen from 14 September 2026", "L-1", "3"],
    ]
    # Grade and day stand there for the next one, and the name waits for the hands.
    assert value_of(again, "add-pupil-grade") == "3"
    assert value_of(again, "add-pupil-starts") == "2026-09-14"
    assert 'name="add-pupil-given_name" maxlength="80" autofocus' in again.content.decode()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"given_name": " \u200e "}, "This field is required."),
        ({"grade": "14"}, "Write a whole number from 0 to 13."),
        ({"grade": "three"}, "Write a whole number from 0 to 13."),
        ({"grade": "-1"}, "Write a whole number from 0 to 13."),
        ({"starts": "14.9.2026"}, "Write a day that exists as year-month-day, for example 2026-09-07."),
        (
            {"starts": "2026-09-01"},
            "This day is outside the school year of Otter, which runs from 7 September 2026 to 2 July 2027.",
        ),
        ({"school_ref": "l-9"}, "Another pupil already has the reference l-9; each reference belongs to one pupil."),
        ({"school_ref": "x" * 41}, "Ensure this value has at most 40 characters (it has 41)."),
    ],
)
def test_group_bad_field_gets_a_sentence_and_the_rest_is_kept(office, path, otter, changes, sentence):
    builders.make_pupil(otter, school_ref="L-9")
    response = add(office, path, otter, **changes)

    assert (response.status_code, errors(response)) == (422, [sentence])
    assert value_of(response, "add-pupil-family_name") == "Verhaegen"
    assert Pupil.objects.count() == 1


def test_group_grade_in_other_digits_is_read(office, path, otter):
    add(office, path, otter, grade="٣")

    assert Enrolment.objects.get().grade == 3


def test_group_says_year_where_the_school_says_so(school, office, path):
    school.words = {"grade": "year"}
    school.save()

    assert ">Year</label>" in office.get(path).content.decode()


def test_group_is_given_to_a_teacher_and_taken_back(school, office, path, otter):
    teacher = builders.make_member(school, "teacher", "Tomasz Zieliński")
    send(office, path, "give-class", user_id=teacher.public_id, starts="2026-09-07")
    given = text(office.get(path))
    row = Teaching.objects.get()
    send(office, path, "end-class", row=row.public_id, **{f"teaching_id-{row.public_id}-ends": "2026-11-19"})
    row.refresh_from_db()

    assert "Tomasz Zieliński from 7 September 2026" in given
    assert str(row.ends) == "2026-11-19"


def test_group_cover_for_one_day(school, office, path, otter):
    person = builders.make_member(school, "assistant", "Cleo")
    send(office, path, "give-cover", user_id=person.public_id, day="2026-11-20")
    said = told(office, path)
    past = send(office, path, "give-cover", user_id=person.public_id, day="2026-11-19")

    assert said == ["The cover was given. It ends by itself."]
    assert "Cleo cover, 20 November 2026" in text(office.get(path))
    assert errors(past) == ["Cover can't be given for a day that is over."]
    assert Teaching.objects.get().ends == TODAY


def test_group_shows_who_was_there_before_apart(office, path, otter):
    gone = builders.make_pupil(otter, "Ole", "Berg")
    gone.enrolments.update(ends="2026-10-01")

    shown = text(office.get(path))
    assert "Nobody is in this class yet" in shown
    assert "Were in this class before" in shown
    assert "Ole Berg 7 September 2026 to 1 October 2026" in shown


def test_group_is_renamed_and_removed(office, path, otter):
    send(office, path, "rename-class", name="Beaver")
    renamed = ClassGroup.objects.get().name
    gone = send(office, path, "remove-class")

    assert renamed == "Beaver"
    assert (gone["Location"], ClassGroup.objects.count()) == ("/roster/classes/", 0)


def test_group_long_and_right_to_left_names_stand_in_their_own_direction(office, path, otter):
    builders.make_pupil(otter, "عبد الرحمن", "الأنصاري")

    assert '<bdi class="name">عبد الرحمن الأنصاري</bdi>' in office.get(path).content.decode()


def test_group_empty(office, path):
    shown = text(office.get(path))

    assert "Nobody is in this class yet" in shown
    assert "Nobody takes this class yet." in shown


def test_group_is_hidden_from_strangers(school, path):
    assert who_sees(school, path) == HIDDEN


def test_group_may_be_read_and_not_changed_by_the_coordinator(school, path, otter):
    coordinator = as_role(school, "coordinator")

    assert "Add a pupil" not in text(coordinator.get(path))
    assert add(coordinator, path, otter).status_code == 404
    assert Pupil.objects.count() == 0


@pytest.mark.parametrize("number", [1, 3])
def test_group_asks_the_database_as_often_for_one_pupil_as_for_three(
    school, office, path, otter, number, django_assert_num_queries
):
    builders.make_pupils(otter, number)
    for one in range(number):
        builders.give_class(builders.make_member(school, "teacher", f"T{one}"), otter)
    with django_assert_num_queries(8):
        office.get(path)
