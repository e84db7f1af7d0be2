"""Who stands in the choices of a form."""

import pytest

from tests import builders
from tests.builders import TODAY
from tracker.queries import people

pytestmark = pytest.mark.django_db


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return builders.viewer(builders.make_member(school, "office", "Office"), school)


def names(choices):
    return [label.partition(" (")[0] for _key, label in choices]


def test_choices_hold_open_accounts_with_the_role_now_or_later(school, office):
    builders.make_member(school, "teacher", "Now")
    builders.join(builders.make_user("Later"), school, "teacher", starts=TODAY.replace(year=2027))
    builders.join(builders.make_user("Over"), school, "teacher", ends=TODAY.replace(month=10))
    builders.join(builders.make_user("Closed", is_active=False), school, "teacher")
    builders.make_member(builders.make_school("Mill School"), "teacher", "Elsewhere")
    builders.make_member(school, "parent", "Parent")

    assert names(people.choices(office, "teacher")) == ["Later", "Now"]


def test_choices_tell_namesakes_apart(school, office):
    builders.join(builders.make_user("Ida", username="ida"), school, "teacher")
    builders.join(builders.make_user("Ida", username="ida2"), school, "teacher")

    assert [label for _key, label in people.choices(office, "teacher")] == ["Ida (ida)", "Ida (ida2)"]


def test_staff_choices_hold_whoever_covered_before(school, office):
    builders.join(
        builders.make_user("Cleo"), school, "cover", starts=TODAY.replace(month=10), ends=TODAY.replace(month=10)
    )
    builders.make_member(school, "parent", "Parent")

    assert names(people.staff_choices(office)) == ["Cleo", "Office"]


def test_people_are_for_those_who_read_the_roster(school, office):
    teacher = builders.viewer(builders.make_member(school, "teacher", "Teacher"), school)

    assert [user.name for user in people.people(office)] == ["Office", "Teacher"]
    assert list(people.people(teacher)) == []
