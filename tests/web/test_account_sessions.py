"""Where one is signed in, ending sessions, and the choice of school."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.test import Client

from tests import builders
from tests.builders import NOW, PASSWORD, TODAY
from tracker.actions.people import close_account
from tracker.models import UserSession

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def user(school):
    return builders.make_member(school, "parent")


def sign_in(user):
    client = Client(headers={"User-Agent": "Mozilla/5.0 (iPad) Safari/605"})
    client.post("/account/sign-in/", {"login": user.username, "password": PASSWORD})
    return client


def user_of(client):
    return client.get("/session/").json()["user"]


def row_of(client):
    return UserSession.objects.get(session_key=client.session.session_key)


def test_sessions_list_the_own_ones_this_first(user):
    here, _elsewhere = sign_in(user), sign_in(user)
    sign_in(builders.make_user())

    response = here.get("/account/sessions/")

    sessions = response.context["sessions"]
    assert [(session.device, session.is_this) for session in sessions] == [
        ("Safari, iPad", True),
        ("Safari, iPad", False),
    ]
    assert response.content.decode().count("Sign out there") == 1


def test_sessions_never_show_their_keys(user):
    here = sign_in(user)

    assert here.session.session_key not in here.get("/account/sessions/").content.decode()


def test_session_that_is_ended_dies_at_once(user):
    here, elsewhere = sign_in(user), sign_in(user)
    key = elsewhere.session.session_key
    here.post(f"/account/sessions/{row_of(elsewhere).public_id}/end/")

    assert (user_of(here), user_of(elsewhere)) == (user.public_id, None)
    assert not Session.objects.filter(session_key=key).exists()


def test_session_of_somebody_else_cannot_be_ended(user):
    other = sign_in(builders.make_user())
    response = sign_in(user).post(f"/account/sessions/{row_of(other).public_id}/end/")

    assert response.status_code == 404
    assert user_of(other) is not None


def test_sessions_end_everywhere_else(user):
    here, one, two = sign_in(user), sign_in(user), sign_in(user)
    here.post("/account/sessions/end-others/")

    assert [user_of(client) for client in (here, one, two)] == [user.public_id, None, None]


def test_account_that_is_closed_dies_at_once(school, user):
    here = sign_in(user)
    office = builders.viewer(builders.make_member(school, "office"), school)
    close_account(user_id=user.public_id, by=office, on=TODAY)

    assert user_of(here) is None
    assert UserSession.objects.filter(user=user).count() == 0
    assert not Session.objects.filter(session_key=here.session.session_key).exists()


def test_account_closed_in_the_database_alone_is_out_too(user):
    here = sign_in(user)
    type(user).objects.filter(pk=user.pk).update(is_active=False)

    assert user_of(here) is None


def test_role_that_ended_is_gone_with_the_next_page(user, at_time):
    here = sign_in(user)
    user.memberships.update(ends=TODAY)
    assert here.get("/family/").status_code == 200
    at_time(NOW + timedelta(hours=0.9))
    user.memberships.update(ends=TODAY - timedelta(days=1))

    assert here.get("/family/").status_code == 404


def test_session_ends_after_an_idle_hour(user, at_time):
    here = sign_in(user)
    at_time(NOW + timedelta(minutes=59))
    assert here.get("/family/").status_code == 200
    at_time(NOW + timedelta(minutes=59 + 61))

    assert here.get("/family/")["Location"] == "/account/sign-in/?next=/family/"
    assert UserSession.objects.count() == 0


def test_session_ends_after_ten_hours_of_work(user, at_time):
    here = sign_in(user)
    for minutes in range(30, 601, 30):
        at_time(NOW + timedelta(minutes=minutes))
        assert here.get("/family/").status_code == 200
    at_time(NOW + timedelta(minutes=601))

    assert here.get("/family/")["Location"] == "/account/sign-in/?next=/family/"


def test_asking_for_the_session_state_keeps_nothing_alive(user, at_time):
    here = sign_in(user)
    for minutes in (20, 40, 59):
        at_time(NOW + timedelta(minutes=minutes))
        assert user_of(here) == user.public_id
    at_time(NOW + timedelta(minutes=61))

    assert user_of(here) is None


def test_last_use_is_written_at_most_once_a_minute(user, at_time, django_assert_num_queries):
    here = sign_in(user)
    here.get("/family/")
    at_time(NOW + timedelta(seconds=59))
    # Session, user, memberships, and no child: children and standings, last checks, places, teachers.
    with django_assert_num_queries(4):
        here.get("/family/")
    assert row_of(here).seen_at == NOW
    at_time(NOW + timedelta(seconds=60))
    here.get("/family/")

    assert row_of(here).seen_at == NOW + timedelta(seconds=60)


def test_school_can_be_changed_by_somebody_with_two(client, school, user):
    second = builders.make_school("Second School")
    builders.join(user, second, "teacher")
    builders.sign_in(client, user)

    before = client.get("/account/sessions/")
    response = client.post("/account/school/", {"school": second.public_id})
    after = client.get("/account/sessions/")

    assert response["Location"] == "/"
    assert (before.context["viewer"].school, after.context["viewer"].school) == (school, second)
    assert after.context["viewer"].roles == {"teacher"}


def test_school_of_others_cannot_be_chosen(client, user):
    other = builders.make_school("Second School")

    assert builders.sign_in(client, user).post("/account/school/", {"school": other.public_id}).status_code == 404


def test_school_chosen_before_its_role_ended_gives_way_to_the_other(client, school, user):
    second = builders.make_school("Second School")
    role = builders.join(user, second, "teacher")
    builders.sign_in(client, user).post("/account/school/", {"school": second.public_id})
    role.delete()

    assert client.get("/account/sessions/").context["viewer"].school == school


def test_sessions_page_of_somebody_without_a_role_works(client):
    page = builders.sign_in(client, builders.make_user()).get("/account/sessions/").content.decode()

    assert "Where you are signed in" in page


def test_sessions_page_asks_a_stranger_to_sign_in(client):
    assert client.get("/account/sessions/")["Location"] == "/account/sign-in/?next=/account/sessions/"


@pytest.mark.parametrize("number", [1, 3])
def test_sessions_page_costs_the_same_for_any_number(user, number, django_assert_num_queries):
    clients = [sign_in(user) for _ in range(number)]

    # Session, user and memberships; then the sessions.
    with django_assert_num_queries(4):
        response = clients[0].get("/account/sessions/")

    assert len(response.context["sessions"]) == number
