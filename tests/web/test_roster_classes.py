"""The classes of a year."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, cells, errors, send, text, told, who_sees
from tracker.models import ClassGroup, SchoolYear

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


PATH = "/roster/classes/"


@pytest.fixture
def year(school):
    return builders.year_of(school)


def test_classes_show_who_teaches_and_how_many(school, office):
    teacher = builders.make_member(school, "teacher", "Tomasz Zieliński")
    builders.make_pupils(builders.make_class(school, "Plover", teacher=teacher), 3)
    builders.make_class(school, "Otter")

    assert cells(office.get(PATH)) == [
        ["Class", "Who teaches", "Pupils"],
        ["Otter", "nobody yet", "0"],
        ["Plover", "Tomasz Zieliński", "3"],
    ]


def test_classes_gets_a_new_one(office, year):
    send(office, PATH, "add-class", name="Otter", year_id=year.public_id)

    assert told(office, PATH) == ["The class was added."]
    assert ClassGroup.objects.get().year == year


def test_classes_same_name_twice_is_refused(office, year):
    values = {"name": "Otter", "year_id": year.public_id}
    send(office, PATH, "add-class", **values)
    response = send(office, PATH, "add-class", **values)

    assert (response.status_code, errors(response)) == (422, ["This year already has a class called “Otter”."])
    assert ClassGroup.objects.count() == 1


def test_classes_of_another_year(school, office):
    other = SchoolYear.objects.create(school=school, name="2027/28", starts="2027-09-06", ends="2028-06-30")
    ClassGroup.objects.create(school=school, year=other, name="Lark")
    builders.make_class(school, "Otter")

    assert cells(office.get(PATH, {"year": other.public_id}))[1:] == [["Lark", "nobody yet", "0"]]
    assert office.get(PATH, {"year": "nothing"}).status_code == 404


@pytest.mark.parametrize(("asked", "status"), [("%00", 200), ("nowhere", 404), ("a%00b", 404)])
def test_classes_of_a_year_that_is_none(office, asked, status):
    shown = office.get(f"{PATH}?year={asked}")

    assert (shown.status_code, "Last day" in shown.content.decode()) == (status, False)


def test_classes_empty_with_and_without_a_year(school, office):
    first = text(office.get(PATH))
    school.years.all().delete()

    assert "No class yet" in first
    assert "No school year yet" in text(office.get(PATH))


def test_classes_are_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


@pytest.mark.parametrize("number", [1, 3])
def test_classes_asks_the_database_as_often_for_one_as_for_three(school, office, number, django_assert_num_queries):
    teacher = builders.make_member(school, "teacher")
    for one in range(number):
        builders.make_pupils(builders.make_class(school, f"Class {one}", teacher=teacher), 2)
    with django_assert_num_queries(8):
        office.get(PATH)
