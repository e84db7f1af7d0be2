"""One person: roles, account and the one-time code."""

import re

import pytest
from allauth.mfa.models import Authenticator

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.roster_scene import HIDDEN, as_role, errors, send, text, told, who_sees
from tracker.actions.accounts import take_code
from tracker.models import AccessCode

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


@pytest.fixture
def teacher(school):
    user = builders.make_user("Tomasz Zieliński", username="tomasz")
    builders.join(user, school, "teacher")
    return user


@pytest.fixture
def path(teacher):
    return f"/roster/people/{teacher.public_id}/"


def test_person_shows_roles_classes_and_children(school, office, path, teacher):
    group = builders.make_class(school, "Otter", teacher=teacher)
    builders.link_guardian(teacher, builders.make_pupil(group))
    shown = text(office.get(path))

    assert "tomasz Tomasz Zieliński" in shown
    assert "teacher from 7 September 2026" in shown
    assert "Otter from 7 September 2026" in shown
    assert "Anouk Verhaegen from 7 September 2026" in shown


def test_person_gets_a_role_and_it_ends(office, path, teacher):
    send(office, path, "give-role", role="coordinator", starts="2026-11-20")
    row = teacher.memberships.get(role="coordinator")
    send(office, path, "end-role", row=row.public_id, **{f"membership_id-{row.public_id}-ends": "2026-11-27"})
    row.refresh_from_db()

    assert str(row.ends) == "2026-11-27"
    assert told(office, path) == ["The role was given.", "The role ends on that day."]


def test_person_same_role_twice_is_refused(office, path, teacher):
    response = send(office, path, "give-role", role="teacher", starts="2026-11-20")

    assert errors(response) == ["The person already has this role from 7 September 2026."]
    assert teacher.memberships.count() == 1


def test_person_code_is_shown_once_and_lets_in_once(office, path, teacher):
    response = send(office, path, "make-code")
    code = re.search(r"<output[^>]*>(.*?)</output>", response.content.decode()).group(1)

    assert response.status_code == 200
    assert code not in office.get(path).content.decode()
    assert AccessCode.objects.get().code_hash != code
    from django.utils import timezone

    assert take_code(username="tomasz", code=code, at=timezone.now()).user == teacher
    assert take_code(username="tomasz", code=code, at=timezone.now()) is None


def test_person_account_is_closed_and_opened(office, path, teacher):
    send(office, path, "close-account")
    teacher.refresh_from_db()
    closed, shown = teacher.is_active, text(office.get(path))
    send(office, path, "open-account")
    teacher.refresh_from_db()

    assert (closed, teacher.is_active) == (False, True)
    assert ("This account is closed." in shown, "Make a one-time code" in shown) == (True, False)


def test_person_name_and_sign_in_are_changed(office, path, teacher):
    send(office, path, "change-person", name="Tomasz Z.", username="tz", email="tz@example.org")
    teacher.refresh_from_db()

    assert (teacher.name, teacher.username, teacher.email) == ("Tomasz Z.", "tz", "tz@example.org")


def test_person_can_not_close_the_own_account_or_leave_the_school_without_an_office(school):
    user = builders.make_member(school, "office")
    client = builders.sign_in(as_role(school, "teacher"), user)
    path, row = f"/roster/people/{user.public_id}/", user.memberships.get()
    closed = send(client, path, "close-account")
    ended = send(client, path, "end-role", row=row.public_id, **{f"membership_id-{row.public_id}-ends": str(TODAY)})

    user.refresh_from_db()
    assert (closed.status_code, user.is_active) == (422, True)
    assert errors(ended) == ["This is the school's only office user; give the role to somebody else first."]
    assert "Close the account" not in text(client.get(path))


def test_person_who_also_works_elsewhere_keeps_their_account(office, path, teacher):
    builders.join(teacher, builders.make_school("Mill School"), "teacher")
    response = send(office, path, "close-account")

    assert errors(response) == ["This account also belongs to another school, so its sign-in can't be changed here."]


def test_person_second_factor_is_reset_in_two_steps(office, path, teacher):
    Authenticator.objects.create(user=teacher, type="totp", data={})
    unsure = send(office, path, "reset-factor")
    number = Authenticator.objects.count()
    send(office, path, "reset-factor", sure="on")

    assert (errors(unsure), number) == (["Tick this once you know for sure; nothing was reset."], 1)
    assert Authenticator.objects.count() == 0
    assert told(office, path) == ["The second factor was reset. The next sign-in asks for a new one."]


def test_person_second_factor_is_offered_only_where_there_is_one_and_never_for_oneself(school, office, path, teacher):
    without = text(office.get(path))
    own = builders.make_member(school, "office")
    for user in (teacher, own):
        Authenticator.objects.create(user=user, type="totp", data={})
    shown = text(office.get(path))
    mine = text(builders.sign_in(office, own).get(f"/roster/people/{own.public_id}/"))

    assert ["Reset the second factor" in page for page in (without, shown, mine)] == [False, True, False]


def test_person_without_anything_else(office, path):
    shown = text(office.get(path))

    assert ("Classes" in shown, "Children" in shown) == (False, False)


def test_person_is_hidden_from_strangers(school, path):
    assert who_sees(school, path) == HIDDEN


def test_person_may_be_read_and_not_changed_by_the_coordinator(school, path):
    coordinator = as_role(school, "coordinator")

    assert "Make a one-time code" not in text(coordinator.get(path))
    assert send(coordinator, path, "make-code").status_code == 404
    assert AccessCode.objects.count() == 0


@pytest.mark.parametrize("number", [1, 3])
def test_person_asks_the_database_as_often_for_one_class_as_for_three(
    school, office, path, teacher, number, django_assert_num_queries
):
    for one in range(number):
        group = builders.make_class(school, f"Class {one}", teacher=teacher)
        builders.link_guardian(teacher, builders.make_pupil(group))
    with django_assert_num_queries(9):
        office.get(path)
