"""The second factor of staff: set up before anything else, asked for at sign-in, replaced by spare codes.

The codes are computed here from RFC 6238 (TOTP) and RFC 4226 (HOTP), not by the library under test.
"""

import base64
import hashlib
import hmac
import re
import struct
import time
from datetime import timedelta

import pytest
from allauth.mfa.models import Authenticator
from django.test import Client
from django.utils import timezone

from tests import builders
from tests.builders import PASSWORD
from tracker.models import UserSession

pytestmark = pytest.mark.django_db

SET_UP = "/account/factor/new/"


@pytest.fixture(autouse=True)
def second_factor(settings):
    settings.SECOND_FACTOR_FOR_STAFF = True


@pytest.fixture(autouse=True)
def clock_stands(monkeypatch):
    """So that no code runs out between making and checking it."""
    now = time.time()
    monkeypatch.setattr(time, "time", lambda: now)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def teacher(school):
    return builders.make_member(school, "head")


def one_time_code(secret, at=None):
    """RFC 6238 with 30 seconds, six digits and SHA-1."""
    counter = struct.pack(">Q", int((time.time() if at is None else at) // 30))
    digest = hmac.new(base64.b32decode(secret), counter, hashlib.sha1).digest()
    offset = digest[-1] & 0xF
    return f"{(struct.unpack('>I', digest[offset : offset + 4])[0] & 0x7FFFFFFF) % 10**6:06d}"


def test_own_code_agrees_with_the_rfc():
    """RFC 6238, appendix B, SHA-1: the last six of eight digits at 59 and at 1111111109 seconds."""
    secret = base64.b32encode(b"12345678901234567890").decode()

    assert (one_time_code(secret, 59), one_time_code(secret, 1111111109)) == ("287082", "081804")


def sign_in(user, client=None):
    client = client or Client()
    client.post("/account/sign-in/", {"login": user.username, "password": PASSWORD})
    return client


def set_up(user):
    client = sign_in(user)
    secret = client.get(SET_UP).context["form"].secret
    response = client.post(SET_UP, {"code": one_time_code(secret)})
    assert response["Location"] == "/account/factor/spare/", response.content.decode()
    return client, secret


def user_of(client):
    return client.get("/session/").json()["user"]


def test_staff_without_a_factor_are_led_to_set_one_up(teacher):
    client = sign_in(teacher)

    assert [client.get(path)["Location"] for path in ("/", "/classes/")] == [SET_UP, SET_UP]


def test_staff_without_a_factor_get_json_where_json_was_asked(teacher):
    response = sign_in(teacher).get("/classes/", headers={"Accept": "application/json"})

    assert (response.status_code, response.json()) == (401, {"error": "first-steps"})


def test_staff_without_a_factor_can_still_sign_out(teacher):
    client = sign_in(teacher)
    client.post("/account/sign-out/")

    assert user_of(client) is None


def test_parents_are_not_asked(school):
    parent = builders.make_member(school, "parent")

    assert sign_in(parent).get("/")["Location"] == "/family/"


def test_nobody_is_asked_in_the_demo(settings, teacher):
    settings.SECOND_FACTOR_FOR_STAFF = False

    assert sign_in(teacher).get("/")["Location"] == "/classes/"


def test_cover_with_a_password_is_asked_too(school):
    today = timezone.now().date()
    user = builders.make_user()
    builders.join(user, school, "cover", starts=today, ends=today)

    assert sign_in(user).get("/")["Location"] == SET_UP


def test_set_up_shows_the_square_and_the_letters(teacher):
    client = sign_in(teacher)
    response = client.get(SET_UP)

    page = response.content.decode()
    assert 'src="/account/factor/image.svg"' in page
    assert response.context["form"].secret in page
    assert "data:image" not in page


def test_square_holds_the_secret_and_is_never_stored(teacher):
    client = sign_in(teacher)
    first = client.get("/account/factor/image.svg")
    client.get(SET_UP)
    image = client.get("/account/factor/image.svg")

    assert first.status_code == 404
    assert (image["Content-Type"], image["Cache-Control"]) == ("image/svg+xml", "no-store")
    assert re.search(rb"<svg [^>]*viewBox", image.content)
    assert b"style=" not in image.content


def test_set_up_with_a_wrong_code_is_refused(teacher):
    client = sign_in(teacher)
    client.get(SET_UP)
    page = client.post(SET_UP, {"code": "000000"}).content.decode()

    assert "Incorrect code" in page
    assert Authenticator.objects.count() == 0


def test_set_up_opens_the_pages_and_ends_other_sessions(teacher):
    elsewhere = sign_in(teacher)
    client, _ = set_up(teacher)

    assert client.get("/")["Location"] == "/classes/"
    assert user_of(elsewhere) is None
    assert [row.session_key for row in UserSession.objects.all()] == [client.session.session_key]


def test_secret_is_kept_encrypted(teacher):
    _, secret = set_up(teacher)

    assert secret not in str(Authenticator.objects.get(type="totp").data)


def test_sign_in_asks_for_the_code(teacher):
    _, secret = set_up(teacher)
    client = Client()
    response = client.post("/account/sign-in/", {"login": teacher.username, "password": PASSWORD})

    assert response["Location"] == "/account/factor/code/"
    assert user_of(client) is None
    client.post("/account/factor/code/", {"code": one_time_code(secret)})
    assert user_of(client) == teacher.public_id
    assert client.get("/")["Location"] == "/classes/"


def test_sign_in_takes_no_code_twice(teacher):
    _, secret = set_up(teacher)
    code = one_time_code(secret)
    answers = []
    for _ in range(2):
        client = sign_in(teacher)
        client.post("/account/factor/code/", {"code": code})
        answers.append(user_of(client))

    assert answers == [teacher.public_id, None]


def test_sign_in_with_wrong_codes_is_throttled(teacher):
    _, secret = set_up(teacher)
    client = sign_in(teacher)
    for _ in range(5):
        client.post("/account/factor/code/", {"code": "000000"})
    page = client.post("/account/factor/code/", {"code": one_time_code(secret)}).content.decode()

    assert "tried too often" in page
    assert user_of(client) is None


def test_spare_codes_show_once_and_let_in_once(teacher):
    client, _ = set_up(teacher)
    codes = client.get("/account/factor/spare/").context["unused_codes"]
    again = client.get("/account/factor/spare/").content.decode()
    answers = []
    for _ in range(2):
        other = sign_in(teacher)
        other.post("/account/factor/code/", {"code": codes[0]})
        answers.append(user_of(other))

    assert len(codes) == 10
    assert not any(code in again for code in codes)
    assert answers == [teacher.public_id, None]


def test_factor_can_be_moved_and_is_asked_for_again_at_once(teacher):
    client, _ = set_up(teacher)
    page = client.get("/account/factor/remove/").content.decode()
    client.post("/account/factor/remove/")

    assert "Remove your second step" in page
    assert Authenticator.objects.count() == 0
    assert client.get("/classes/")["Location"] == SET_UP


def test_factor_is_changed_only_by_somebody_who_signed_in_lately(teacher, at_time):
    client, _ = set_up(teacher)
    at_time(timezone.now() + timedelta(minutes=11))
    response = client.get("/account/factor/remove/")

    assert response["Location"].startswith("/account/again/?next=")
    client.post(response["Location"], {"password": PASSWORD})
    assert "Remove your second step" in client.get("/account/factor/remove/").content.decode()


def test_new_spare_codes_end_the_old_ones(teacher):
    client, _ = set_up(teacher)
    old = client.get("/account/factor/spare/").context["unused_codes"]
    page = client.get("/account/factor/spare/new/").content.decode()
    client.post("/account/factor/spare/new/")
    new = client.get("/account/factor/spare/").context["unused_codes"]

    assert "10 spare codes left" in page
    assert set(old).isdisjoint(new)


@pytest.mark.parametrize(
    "path", ["/account/factor/", SET_UP, "/account/factor/remove/", "/account/factor/spare/", "/account/again/"]
)
def test_pages_about_the_factor_are_not_for_strangers(client, path):
    assert client.get(path)["Location"].startswith("/account/sign-in/?next=")


def test_page_about_the_factor_says_whether_it_is_set_up(teacher):
    before = sign_in(teacher).get("/account/factor/").content.decode()
    client, _ = set_up(teacher)
    after = client.get("/account/factor/").content.decode()

    assert ("Set it up" in before, "It is set up" in before) == (True, False)
    assert ("Set it up" in after, "It is set up" in after) == (False, True)
