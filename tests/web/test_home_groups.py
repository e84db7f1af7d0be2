"""The small groups and the list of an assistant or provider."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW, TODAY
from tracker.models import GroupPlace, ProviderAssignment, PupilGroup

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


def open_as(user):
    return builders.sign_in(Client(), user).get("/groups/")


def make_group(user, *pupils, name="Blue table"):
    group = PupilGroup.objects.create(school=pupils[0].school, name=name, holder=user, starts=TODAY)
    for pupil in pupils:
        GroupPlace.objects.create(school=pupil.school, group=group, pupil=pupil, starts=TODAY)
    return group


def test_groups_list_the_own_groups_and_the_own_list(school):
    provider = builders.make_member(school, "provider")
    heron = builders.make_class(school)
    one, two, three, _other = builders.make_pupils(heron, 4)
    make_group(provider, one, two)
    ProviderAssignment.objects.create(school=school, user=provider, pupil=three, starts=TODAY)

    response = open_as(provider)

    lines = [(line.name, list(line.pupils)) for line in response.context["lines"]]
    assert lines == [("Blue table", [one, two]), ("", [three])]
    assert "Pupil01 Name01" in response.content.decode()


def test_groups_of_somebody_else_do_not_show(school):
    assistant, colleague = builders.make_member(school, "assistant"), builders.make_member(school, "assistant")
    pupil = builders.make_pupil(builders.make_class(school))
    make_group(colleague, pupil)

    page = open_as(assistant).content.decode()

    assert "No group yet" in page
    assert "Anouk" not in page


@pytest.mark.parametrize("number", [1, 3])
def test_groups_cost_the_same_for_any_number(school, number, django_assert_num_queries):
    assistant = builders.make_member(school, "assistant")
    heron = builders.make_class(school)
    for n in range(number):
        make_group(assistant, builders.make_pupil(heron), name=f"Table {n}")
    client = builders.sign_in(Client(), assistant)

    # Session, user and memberships; then places, groups and the own list.
    with django_assert_num_queries(6):
        response = client.get("/groups/")

    assert len(response.context["lines"]) == number
