"""Signing in by name and password: no sign-up, no way to find out names, no endless trying."""

import logging
from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from tests import builders
from tests.builders import NOW, PASSWORD
from tracker.models import UserSession

pytestmark = pytest.mark.django_db

SIGN_IN = "/account/sign-in/"


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def parent():
    user = builders.make_user("Ruta Verhaegen", username="Ruta.V")
    builders.join(user, builders.make_school(), "parent")
    return user


def sign_in(client, name, password=PASSWORD, **more):
    return client.post(SIGN_IN, {"login": name, "password": password, **more})


def user_of(client):
    return client.get("/session/").json()["user"]


def test_sign_in_by_name_in_any_case_leads_to_the_first_page(client, parent):
    response = sign_in(client, "ruta.v")

    assert (response.status_code, response["Location"]) == (302, "/")
    assert user_of(client) == parent.public_id
    assert mail.outbox == []


def test_sign_in_goes_on_to_the_page_that_was_asked_for(client, parent):
    asked = client.get("/family/")
    response = sign_in(client, "Ruta.V", next="/family/")

    assert asked["Location"] == "/account/sign-in/?next=/family/"
    assert response["Location"] == "/family/"


def test_sign_in_never_goes_on_to_another_host(client, parent):
    assert sign_in(client, "Ruta.V", next="https://elsewhere.example/")["Location"] == "/"


def test_sign_in_lists_the_browser(parent):
    agent = "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"
    client = Client(headers={"User-Agent": agent})
    sign_in(client, "Ruta.V")

    row = UserSession.objects.get()
    assert (row.user, row.session_key, row.device) == (parent, client.session.session_key, "Firefox, Linux")
    assert row.signed_in_at == row.seen_at == NOW


def test_sign_in_changes_the_key_of_the_session(client, parent):
    client.session.save()
    client.cookies["sessionid"] = (before := client.session.session_key)
    sign_in(client, "Ruta.V")

    assert client.session.session_key != before


def without_typed(page, name):
    """The page without what was typed and without its token, which differ by nature."""
    text = page.content.decode().replace(name, "NAME")
    return "".join(part.partition('">')[2] for part in text.split('name="csrfmiddlewaretoken" value="'))


def test_sign_in_answers_the_same_for_an_unknown_name_and_a_wrong_password(client, parent):
    wrong = sign_in(client, "Ruta.V", "another four words")
    unknown = sign_in(client, "nobody.here", "another four words")

    assert wrong.status_code == unknown.status_code == 200
    assert "don’t belong together" in wrong.content.decode()
    assert without_typed(wrong, "Ruta.V") == without_typed(unknown, "nobody.here")
    assert user_of(client) is None


def test_sign_in_hashes_once_whether_the_name_is_known_or_not(client, parent, monkeypatch):
    """The time is that of the hash: it is spent as often for a name that nobody has."""
    from django.contrib.auth.hashers import MD5PasswordHasher

    spent = []
    encode = MD5PasswordHasher.encode
    monkeypatch.setattr(MD5PasswordHasher, "encode", lambda self, *a: spent.append(1) or encode(self, *a))

    counts = []
    for name in ("Ruta.V", "nobody.here"):
        spent.clear()
        sign_in(client, name, "another four words")
        counts.append(len(spent))

    assert counts == [1, 1]


def test_sign_in_to_a_closed_account_is_refused(client, parent):
    parent.is_active = False
    parent.save()
    response = sign_in(client, "Ruta.V")

    assert response["Location"] == "/account/closed/"
    assert "This account is closed" in client.get("/account/closed/").content.decode()
    assert user_of(client) is None


def test_sign_in_is_throttled_by_name_even_from_many_addresses(parent):
    for n in range(5):
        sign_in(Client(REMOTE_ADDR=f"192.0.2.{n}"), "Ruta.V", "another four words")
    response = sign_in(Client(REMOTE_ADDR="192.0.2.9"), "Ruta.V", PASSWORD)

    assert response.status_code == 200
    assert "tried too often" in response.content.decode()


def test_sign_in_is_throttled_by_address_over_many_names(client):
    for n in range(20):
        sign_in(client, f"name{n}", "another four words")

    assert "tried too often" in sign_in(client, "name20", "another four words").content.decode()


def test_sign_in_page_itself_is_throttled(client):
    answers = [client.post(SIGN_IN, {}).status_code for _ in range(61)]

    assert answers == [200] * 60 + [429]
    assert "That was tried too often" in client.post(SIGN_IN, {}).content.decode()


def test_sign_in_that_succeeds_does_not_use_up_tries(parent):
    answers = [sign_in(Client(), "Ruta.V")["Location"] for _ in range(7)]

    assert answers == ["/"] * 7


def test_sign_in_and_refusals_are_logged_without_names(client, parent, caplog):
    caplog.set_level(logging.INFO, logger="tracker")
    sign_in(client, "Ruta.V", "another four words")
    sign_in(client, "forged\nline", "another four words")
    sign_in(client, "Ruta.V")
    client.post("/account/sign-out/")

    assert [record.getMessage() for record in caplog.records if record.name == "tracker.access.adapter"] == [
        f"Sign-in refused for {parent.public_id} from 127.0.0.1",
        "Sign-in refused for an unknown name from 127.0.0.1",
        f"Signed in: {parent.public_id} from 127.0.0.1",
        f"Signed out: {parent.public_id}",
    ]


def test_sign_out_ends_the_session_for_good(client, parent):
    sign_in(client, "Ruta.V")
    key = client.session.session_key
    response = client.post("/account/sign-out/")
    client.cookies["sessionid"] = key

    assert response["Location"] == SIGN_IN
    assert user_of(client) is None
    assert UserSession.objects.count() == 0


def test_sign_out_by_a_link_does_nothing(client, parent):
    builders.sign_in(client, parent)

    assert client.get("/account/sign-out/").status_code == 405
    assert user_of(client) == parent.public_id


@pytest.mark.parametrize(
    "path",
    ["/account/signup/", "/account/sign-up/", "/account/email/", "/account/password/reset/"],
)
def test_there_is_no_sign_up_and_no_other_page_of_the_library(client, path):
    response = client.get(path)

    assert response.status_code == 404
    assert "There is nothing here for you" in response.content.decode()


def test_sign_in_page_of_somebody_signed_in_leads_on(client, parent):
    assert builders.sign_in(client, parent).get(SIGN_IN)["Location"] == "/"


def test_sign_in_page_offers_both_ways_and_no_sign_up(client):
    page = client.get(SIGN_IN).content.decode()

    assert f'action="{reverse("account_login")}"' in page
    assert f'action="{reverse("account-code")}"' in page
    assert "placeholder" not in page
    assert "sign up" not in page.lower()


def test_tries_are_forgotten_after_five_minutes(parent, monkeypatch):
    import time

    for _ in range(6):
        sign_in(Client(), "Ruta.V", "another four words")
    later = time.time() + timedelta(minutes=5, seconds=1).total_seconds()
    monkeypatch.setattr("allauth.core.internal.ratelimit.time.time", lambda: later)

    assert sign_in(Client(), "Ruta.V")["Location"] == "/"
