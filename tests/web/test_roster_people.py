"""Everybody who signs in."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, cells, errors, send, text, told, value_of, who_sees
from tracker.models import User

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


PATH = "/roster/people/"
PERSON = {"name": "Tomasz Zieliński", "role": "teacher", "starts": "2026-11-20"}


def test_people_with_their_roles(school, office):
    teacher = builders.make_user("Tomasz Zieliński", username="tomasz")
    builders.join(teacher, school, "teacher")
    builders.join(teacher, school, "coordinator")
    builders.join(builders.make_user("Xenia", username="xenia", is_active=False), school, "head")
    former = builders.make_user("Zoe", username="zoe")
    builders.join(former, school, "office", ends="2026-10-01")

    assert [row for row in cells(office.get(PATH))[1:] if row[0] != "Office"] == [
        ["Tomasz Zieliński", "tomasz", "teacher, coordinator"],
        ["Xenia", "xenia", "account closed"],
        ["Zoe", "zoe", "–"],
    ]


def test_people_staff_and_families_apart(school, office):
    builders.make_member(school, "parent", "Marit")

    assert [row[0] for row in cells(office.get(PATH, {"kind": "families"}))[1:]] == ["Marit"]
    assert [row[0] for row in cells(office.get(PATH, {"kind": "staff"}))[1:]] == ["Office"]
    assert len(cells(office.get(PATH, {"kind": "nonsense"}))) == 3


def test_people_gets_a_new_person(office):
    send(office, PATH, "add-person", **PERSON)
    user = User.objects.get(username="tomasz.zielinski")

    assert told(office, PATH) == ["The person was added. Make a code on their page to let them in."]
    assert (user.name, user.memberships.get().role) == ("Tomasz Zieliński", "teacher")


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": ""}, "This field is required."),
        ({"username": "two words"}, "Use letters, figures and . @ + - _ only, without spaces."),
        ({"username": "TAKEN"}, "This sign-in name is taken; please choose another."),
        ({"email": "nonsense"}, "Enter a valid email address."),
        ({"ends": "2026-11-01"}, "The last day must not come before the first day."),
        ({"role": "parent"}, "Select a valid choice. parent is not one of the available choices."),
    ],
)
def test_people_bad_field_gets_a_sentence_and_the_rest_is_kept(office, changes, sentence):
    builders.make_user(username="taken")
    response = send(office, PATH, "add-person", **{**PERSON, **changes})

    assert (response.status_code, errors(response)) == (422, [sentence])
    assert value_of(response, "add-person-starts") == "2026-11-20"
    assert not User.objects.filter(name="Tomasz Zieliński").exists()


@pytest.mark.parametrize("asked", ["page=-1", "per_page=-1", "per_page=0", "kind=%00"])
def test_people_page_stands_whatever_the_address_says(office, asked):
    shown = office.get(f"{PATH}?{asked}")

    assert (shown.status_code, len(cells(shown)[1:])) == (200, 1)


def test_people_empty(office):
    assert "Nobody here yet." in text(office.get(PATH, {"kind": "families"}))


def test_people_are_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


def test_people_may_be_read_and_not_added_by_the_coordinator(school):
    coordinator = as_role(school, "coordinator")

    assert "Add a person" not in text(coordinator.get(PATH))
    assert send(coordinator, PATH, "add-person", **PERSON).status_code == 404


@pytest.mark.parametrize("number", [1, 3])
def test_people_asks_the_database_as_often_for_one_as_for_three(school, office, number, django_assert_num_queries):
    for one in range(number):
        builders.make_member(school, "teacher", f"Teacher {one}")
    with django_assert_num_queries(6):
        office.get(PATH)
