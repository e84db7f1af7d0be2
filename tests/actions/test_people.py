"""Accounts: adding, changing, closing, and sign-in names made from names."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.test import Client

from tests import builders
from tests.actions.roster_scene import office_of, recorded, refused
from tests.builders import TODAY, YEAR_STARTS
from tracker.actions.errors import OutOfScope
from tracker.actions.people import add_person, change_person, close_account, free_username, open_account
from tracker.actions.sessions import begin_session
from tracker.models import ChangeRecord, Membership, User, UserSession

pytestmark = pytest.mark.django_db


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return office_of(school)


@pytest.fixture
def who(office):
    return {"by": office, "on": TODAY}


@pytest.fixture
def teacher(school):
    return builders.make_member(school, "teacher", "Tomasz Zieliński")


def test_add_person_has_a_role_and_no_password_yet(who):
    user = add_person(name="Tomasz Zieliński", username="tomasz", role="teacher", starts=YEAR_STARTS, **who)
    role = user.memberships.get()

    assert (role.role, role.starts, role.ends) == ("teacher", YEAR_STARTS, None)
    assert not user.has_usable_password()
    assert recorded() == ["add-person", "give-role"]
    assert "Zieliński" not in str(list(ChangeRecord.objects.values()))


def test_add_person_with_a_password_can_sign_in(who):
    user = add_person(name="T", role="teacher", starts=TODAY, password=builders.PASSWORD, **who)

    assert user.check_password(builders.PASSWORD)


def test_add_person_covers_for_one_day_only(who):
    user = add_person(name="Cleo", role="cover", starts=TODAY, **who)

    assert user.memberships.get().ends == TODAY


def test_add_person_name_that_is_taken_is_refused(who, teacher):
    values = {"name": "Other", "role": "teacher", "starts": TODAY, **who}

    assert refused(add_person, username=teacher.username.upper(), **values) == (
        "username",
        "This sign-in name is taken; please choose another.",
    )
    assert not User.objects.filter(name="Other").exists()


def test_add_person_needs_the_office(school):
    teacher = builders.viewer(builders.make_member(school, "teacher"), school)
    with pytest.raises(OutOfScope):
        add_person(name="Other", role="office", starts=TODAY, by=teacher, on=TODAY)


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("Tomasz Zieliński", "tomasz.zielinski"),
        ("Maria del Carmen Ruiz", "maria.ruiz"),
        ("Cher", "cher"),
    ],
)
def test_free_username_from_a_name(name, made):
    assert free_username(name) == made


def test_free_username_counts_on_when_taken():
    for username in ("ana.ruiz", "Ana.Ruiz2", "ana.ruizo"):
        builders.make_user(username=username)

    assert free_username("Ana Ruiz") == "ana.ruiz3"


def test_free_username_of_letters_that_not_every_keyboard_has():
    assert free_username("ليلى حداد").startswith("p-")
    assert len(free_username("ليلى حداد")) == 8


def test_change_person_records_which_field_and_not_what(who, teacher):
    change_person(user_id=teacher.public_id, username="tz", name="Tomasz Z", email="t@example.org", **who)
    teacher.refresh_from_db()

    assert (teacher.username, teacher.name, teacher.email) == ("tz", "Tomasz Z", "t@example.org")
    assert ChangeRecord.objects.get().after == {"changed": ["username", "name", "email"]}


def test_change_person_keeps_the_name_of_somebody_else_safe(who, teacher, office):
    values = {"user_id": teacher.public_id, "name": "T", **who}

    assert refused(change_person, username=office.user.username.upper(), **values)[0] == "username"


def test_change_person_who_also_works_elsewhere_is_refused(who, teacher):
    builders.join(teacher, builders.make_school("Mill School"), "teacher")
    values = {"user_id": teacher.public_id, **who}

    assert "also belongs to another school" in refused(change_person, username="x", name="X", **values)[1]
    assert "also belongs to another school" in refused(close_account, **values)[1]


def test_change_person_of_another_school_is_out_of_scope(who):
    stranger = builders.make_member(builders.make_school("Mill School"), "teacher")
    with pytest.raises(OutOfScope):
        change_person(user_id=stranger.public_id, username="x", name="X", **who)


def test_close_account_ends_what_is_open(who, teacher):
    key = builders.sign_in(Client(), teacher).session.session_key
    begin_session(user=teacher, key=key, device="Firefox", at=builders.NOW)
    close_account(user_id=teacher.public_id, **who)
    teacher.refresh_from_db()

    assert not teacher.is_active
    assert (Session.objects.count(), UserSession.objects.count()) == (0, 0)
    open_account(user_id=teacher.public_id, **who)
    teacher.refresh_from_db()
    assert teacher.is_active
    assert recorded() == ["close-account", "open-account"]


def test_close_account_is_not_for_oneself(who, office):
    assert "your own account" in refused(close_account, user_id=office.user.public_id, **who)[1]


def test_somebody_who_left_long_ago_can_still_be_found_and_closed(who, school):
    user = builders.make_user()
    Membership.objects.create(
        school=school, user=user, role="teacher", starts=YEAR_STARTS, ends=TODAY - timedelta(days=9)
    )
    close_account(user_id=user.public_id, **who)
    user.refresh_from_db()

    assert not user.is_active
