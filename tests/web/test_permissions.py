"""Guards: who is let through, and what the others are answered."""

import logging
import re

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW

TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="\w+"')

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


def test_stranger_is_asked_to_sign_in_and_comes_back(client):
    assert client.get("/classes/?page=2")["Location"] == "/account/sign-in/?next=/classes/%3Fpage%3D2"


def test_stranger_who_posts_comes_back_to_the_first_page(client):
    assert client.post("/account/sessions/end-others/")["Location"] == "/account/sign-in/?next=/"


@pytest.mark.parametrize("headers", [{"Accept": "application/json"}, {"Accept": "application/json, */*"}])
def test_stranger_by_script_gets_json_never_a_redirect(client, headers):
    response = client.get("/classes/", headers=headers)

    assert (response.status_code, response.json()) == (401, {"error": "signed-out"})


def test_stranger_by_json_gets_json(client):
    response = client.post("/account/school/", {"school": "x"}, content_type="application/json")

    assert (response.status_code, response.json()) == (401, {"error": "signed-out"})


def test_stranger_in_a_fragment_goes_to_the_sign_in_page_with_the_whole_window(client):
    headers = {"HX-Request": "true", "HX-Current-URL": "http://testserver/week/"}
    response = client.get("/classes/", headers=headers)

    assert response["HX-Redirect"] == "/account/sign-in/?next=/week/"


def test_person_without_the_right_gets_404_and_the_log_says_who_and_what(school, caplog):
    user = builders.make_member(school, "parent")
    with caplog.at_level(logging.WARNING, logger="tracker"):
        response = builders.sign_in(Client(), user).get("/classes/")

    assert response.status_code == 404
    assert f"Refused: {user.public_id} lacks read-classes" in caplog.messages


def test_person_without_a_role_gets_404(school):
    response = builders.sign_in(Client(), builders.make_user()).get("/classes/")

    assert response.status_code == 404


def test_refusal_looks_like_a_page_that_is_not_there(school):
    client = builders.sign_in(Client(), builders.make_member(school, "parent"))

    refused, missing = (TOKEN.sub("", client.get(path).content.decode()) for path in ("/classes/", "/no-such-page/"))
    assert "There is nothing here for you" in refused
    assert refused == missing


def test_stale_token_is_told_apart_for_scripts(school):
    client = builders.sign_in(Client(enforce_csrf_checks=True), builders.make_member(school, "parent"))
    page = client.post("/account/school/", {"school": "x"})
    data = client.post("/account/school/", {"school": "x"}, headers={"Accept": "application/json"})

    assert (page.status_code, "open too long" in page.content.decode()) == (403, True)
    assert (data.status_code, data.json()) == (403, {"error": "stale"})


def test_session_state_gives_a_token_that_works(school):
    user = builders.make_member(school, "parent")
    client = builders.sign_in(Client(enforce_csrf_checks=True), user)
    state = client.get("/session/")
    response = client.post(
        "/account/school/", {"school": school.public_id}, headers={"X-CSRFToken": state.json()["csrf"]}
    )

    assert state.json()["user"] == user.public_id
    assert "no-store" in state["Cache-Control"]
    assert response["Location"] == "/"


def test_session_state_of_a_stranger_names_nobody(client):
    response = client.get("/session/")

    assert response.json()["user"] is None
    assert "no-store" in response["Cache-Control"]
