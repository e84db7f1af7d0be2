"""Saying that a flag was seen: who may, what stays, and where it leads."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW
from tracker.models import ChangeRecord, Flag

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def teacher(school):
    return builders.make_member(school, "teacher", "Ines Okafor")


@pytest.fixture
def child(school, teacher):
    return builders.make_pupil(builders.make_class(school, teacher=teacher))


def say_seen(user, child, flag_id, **values):
    return builders.sign_in(Client(), user).post(f"/pupils/{child.public_id}/flags/{flag_id}/seen/", values)


def test_flag_seen_is_kept_with_who_saw_it_and_shown_after_that(child, teacher):
    flag = builders.make_flag(child)

    answer = say_seen(teacher, child, flag.public_id)

    assert (answer.status_code, answer["Location"]) == (302, f"/pupils/{child.public_id}/#reasons")
    flag.refresh_from_db()
    assert (flag.state, flag.seen_by) == (Flag.State.ACKNOWLEDGED, teacher)
    page = builders.sign_in(Client(), teacher).get(f"/pupils/{child.public_id}/").content.decode()
    assert "by Ines Okafor." in page
    assert "I have seen this" not in page


def test_flag_seen_twice_changes_nothing_more(school, child, teacher):
    flag = builders.make_flag(child)
    deputy = builders.make_member(school, "deputy")

    say_seen(teacher, child, flag.public_id)
    again = say_seen(deputy, child, flag.public_id)

    assert again.status_code == 302
    flag.refresh_from_db()
    assert flag.seen_by == teacher
    assert ChangeRecord.objects.filter(action="see-flag").count() == 1


def test_flag_seen_leads_back_to_the_same_skill_with_the_name_still_hidden(child, teacher):
    flag = builders.make_flag(child)

    answer = say_seen(teacher, child, flag.public_id, skill="add-tens", names="off", next="https://school.example/")

    assert answer["Location"] == f"/pupils/{child.public_id}/?skill=add-tens&names=off#reasons"


@pytest.mark.parametrize("role", ["teacher", "assistant", "head", "office", "parent"])
def test_flag_seen_by_somebody_without_the_right_or_the_child_is_not_found(school, child, role):
    flag = builders.make_flag(child)

    assert say_seen(builders.make_member(school, role), child, flag.public_id).status_code == 404
    flag.refresh_from_db()
    assert flag.state == Flag.State.OPEN


def test_flag_seen_belongs_to_the_child_in_the_address(child, teacher):
    other = builders.make_pupil(child.enrolments.get().class_group, "Bram", "Osei")
    flag = builders.make_flag(other)

    assert say_seen(teacher, child, flag.public_id).status_code == 404
    assert say_seen(teacher, child, "000000000000").status_code == 404
    flag.refresh_from_db()
    assert flag.state == Flag.State.OPEN


def test_flag_seen_is_never_a_link(child, teacher):
    flag = builders.make_flag(child)

    answer = builders.sign_in(Client(), teacher).get(f"/pupils/{child.public_id}/flags/{flag.public_id}/seen/")

    assert answer.status_code == 405
