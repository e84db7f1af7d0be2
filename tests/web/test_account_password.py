"""Changing one's password, and choosing the first one."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW, PASSWORD
from tracker.models import ChangeRecord, UserSession

pytestmark = pytest.mark.django_db

NEW = "quiet green river stones"


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def user():
    return builders.make_member(builders.make_school("Harbour Lane School"), "parent")


def change(client, old=PASSWORD, new=NEW, again=None):
    return client.post("/account/password/", {"old": old, "new": new, "again": new if again is None else again})


def sign_in(user, password=PASSWORD):
    client = Client()
    client.post("/account/sign-in/", {"login": user.username, "password": password})
    return client


def user_of(client):
    return client.get("/session/").json()["user"]


def test_password_changes_and_other_sessions_end(user):
    here, elsewhere = sign_in(user), sign_in(user)
    response = change(here)

    user.refresh_from_db()
    assert response["Location"] == "/"
    assert user.check_password(NEW)
    assert (user_of(here), user_of(elsewhere)) == (user.public_id, None)
    assert [row.session_key for row in UserSession.objects.all()] == [here.session.session_key]


def test_password_change_is_recorded_without_the_password(user):
    change(sign_in(user))

    record = ChangeRecord.objects.get(action="set-password")
    assert (record.by_key, record.subject_key, record.before, record.after) == (user.pk, user.public_id, None, None)


@pytest.mark.parametrize(
    ("new", "sentence"),
    [
        ("short words", "at least 12 characters"),
        ("qwerty123456", "too common"),
        ("harbour lane!", "Not mainly the name of your school"),
        ("Mira Solberg 1", "too similar"),
    ],
)
def test_password_that_is_easy_to_guess_is_refused(user, new, sentence):
    response = change(sign_in(user), new=new)

    user.refresh_from_db()
    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert user.check_password(PASSWORD)


def test_password_may_be_a_long_sentence_with_spaces_in_any_script(user):
    sentence = " čtyři slova, która lubię: أربع كلمات " * 3
    change(sign_in(user), new=sentence)

    user.refresh_from_db()
    assert len(sentence) > 64
    assert user.check_password(sentence)


def test_password_asks_for_the_old_one(user):
    response = change(sign_in(user), old="another four words")

    assert "not your password until now" in response.content.decode()


def test_password_typed_twice_differently_is_refused(user):
    response = change(sign_in(user), again="quiet green river stone")

    assert "The two are not the same" in response.content.decode()
    assert NEW not in response.content.decode()


def test_password_tries_are_throttled(user):
    client = sign_in(user)
    answers = [change(client, old=f"guess number {n}").status_code for n in range(6)]

    assert answers == [422] * 5 + [429]


def test_password_page_asks_a_stranger_to_sign_in(client):
    assert client.get("/account/password/")["Location"] == "/account/sign-in/?next=/account/password/"


def test_password_page_shows_the_form(client, user):
    page = builders.sign_in(client, user).get("/account/password/").content.decode()

    assert "Change your password" in page
    assert "at least 12 characters" in page
