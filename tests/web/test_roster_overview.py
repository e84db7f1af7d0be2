"""What is there of a school, and what is still missing."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, text, who_sees
from tracker.models import Enrolment

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


PATH = "/roster/"


def full(school, classes=1):
    teacher = builders.make_member(school, "teacher")
    for number in range(classes):
        builders.make_pupils(builders.make_class(school, f"Class {number}", teacher=teacher), 2)


def test_overview_says_what_is_missing_first(school, office):
    builders.make_class(school, "Otter")
    shown = text(office.get(PATH))

    assert "What is there, and what is still missing before the first check." in shown
    assert "2026/27 , 7 September 2026 to 2 July 2027" in shown
    assert "1 class" in shown
    assert "Add the teachers" in shown
    assert "Nobody takes these classes yet: Otter" in shown
    assert "Add pupils one by one" in shown


def test_overview_of_a_school_that_is_ready(school, office):
    full(school)
    shown = text(office.get(PATH))

    assert "Everything that checks need is there." in shown
    assert "Every class has a teacher." in shown
    assert ("1 teacher" in shown, "2 pupils" in shown) == (True, True)


def test_overview_counts_pupils_without_a_class(school, office):
    full(school)
    Enrolment.objects.filter(pk=Enrolment.objects.first().pk).update(ends=builders.YEAR_STARTS)

    assert "1 pupil is in no class" in text(office.get(PATH))


def test_overview_without_a_year(school, office):
    school.years.all().delete()
    shown = text(office.get(PATH))

    assert "Add the school year with its first and last day." in shown
    assert "Add the classes of the year." in shown


def test_overview_after_the_year_asks_for_the_next(school, at_time):
    office = as_role(school)
    at_time(NOW.replace(year=2027, month=8))

    office = builders.sign_in(office, builders.make_member(school, "office"))
    assert "2026/27 ended on 2 July 2027. Add the next year." in text(office.get(PATH))


def test_overview_is_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


def test_overview_may_be_read_by_the_coordinator(school):
    assert as_role(school, "coordinator").get(PATH).status_code == 200


@pytest.mark.parametrize("classes", [1, 3])
def test_overview_asks_the_database_as_often_for_one_class_as_for_three(
    school, office, classes, django_assert_num_queries
):
    full(school, classes)
    with django_assert_num_queries(10):
        office.get(PATH)
