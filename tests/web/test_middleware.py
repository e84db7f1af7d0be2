"""What every answer carries, errors too."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import include, path

from tests import builders
from tests.builders import NOW

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


def broken(request):
    raise RuntimeError("on purpose")


urlpatterns = [path("", include(settings.ROOT_URLCONF)), path("broken/", broken)]


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def signed_in(db):
    school = builders.make_school()
    return builders.sign_in(Client(raise_request_exception=False), builders.make_member(school, "parent"))


@pytest.mark.django_db
@pytest.mark.urls(__name__)
@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/account/sign-in/", 200),
        ("/classes/", 302),
        ("/no-such-page/", 404),
        ("/account/sign-out/", 405),
        ("/broken/", 500),
        ("/static/css/base.css", 404),
        ("/session/", 200),
        ("/no-slash", 404),
    ],
)
def test_policy_stands_on_every_answer(client, path, status):
    client.raise_request_exception = False
    response = client.get(path)

    assert (response.status_code, response["Content-Security-Policy"]) == (status, POLICY)


@pytest.mark.django_db
def test_policy_stands_on_a_bad_request_and_on_a_redirect_to_https(client, settings):
    bad = client.get("/", headers={"Host": "elsewhere.example"})
    settings.SECURE_SSL_REDIRECT = True
    moved = Client().get("/account/sign-in/")

    assert (bad.status_code, bad["Content-Security-Policy"]) == (400, POLICY)
    assert (moved.status_code, moved["Content-Security-Policy"]) == (301, POLICY)


@pytest.mark.parametrize("path", ["/family/", "/classes/", "/no-such-page/", "/account/sessions/", "/session/"])
def test_pages_of_signed_in_people_are_never_stored(signed_in, path):
    assert "no-store" in signed_in.get(path)["Cache-Control"]


@pytest.mark.urls(__name__)
def test_failure_of_a_signed_in_person_is_never_stored(signed_in):
    response = signed_in.get("/broken/")

    assert (response.status_code, response["Cache-Control"]) == (500, "no-store")
    assert "on purpose" not in response.content.decode()


def test_answers_may_not_be_framed_guessed_or_referred_from(signed_in):
    response = signed_in.get("/family/")

    assert response["X-Frame-Options"] == "DENY"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Referrer-Policy"] == "same-origin"
    assert response["Cross-Origin-Opener-Policy"] == "same-origin"


def test_empty_signed_in_page_costs_session_user_and_memberships(signed_in, django_assert_num_queries):
    """The base of all pages: what the guard finds out before it refuses, and the page that says so."""
    with django_assert_num_queries(3):
        response = signed_in.get("/classes/")

    assert response.status_code == 404
