"""What a covering teacher sees: today's check and nothing else."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from tests import builders
from tests.builders import NOW, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


def open_as(user):
    return builders.sign_in(Client(), user).get("/today/")


def test_today_leads_cover_to_the_check_of_that_class_and_day(school):
    cover = builders.make_member(school, "cover")
    heron, otter = builders.make_class(school, "Heron"), builders.make_class(school, "Otter")
    builders.give_class(cover, heron, cover=True)
    check = builders.make_check(heron)
    builders.make_attempt(check, builders.make_pupil(heron))
    builders.make_check(heron, on=TODAY - timedelta(days=7))
    builders.make_check(otter)

    response = open_as(cover)

    page = response.content.decode()
    assert list(response.context["checks"]) == [check]
    assert "1 row left of 1" in page
    assert "Only today’s scores are open to you" in page
    address = reverse("group-scores", args=[heron.public_id, check.public_id])
    assert f'href="{address}"' in page


def test_today_without_a_check_says_so(school):
    page = open_as(builders.make_member(school, "cover")).content.decode()

    assert "No check to enter today" in page


def test_today_is_over_tomorrow(school, at_time):
    cover = builders.make_member(school, "cover")
    at_time(NOW + timedelta(days=1))

    response = open_as(cover)

    assert response.status_code == 404
    assert "Nothing is open to you today" in builders.sign_in(Client(), cover).get("/").content.decode()
