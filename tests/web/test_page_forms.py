"""Several small forms on one page: which was sent, who may send it, and what comes back."""

import pytest
from django import forms
from django.contrib.messages import get_messages
from django.contrib.messages.middleware import MessageMiddleware
from django.contrib.sessions.backends.cache import SessionStore
from django.http import Http404

from tests import builders
from tracker.actions.errors import OutOfScope, Refused
from tracker.web.page_forms import Deed, PageForms

pytestmark = pytest.mark.django_db


class WordForm(forms.Form):
    word = forms.CharField()


class Row:
    public_id = "bcdfghjkmnpq"


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def asked(rf, school):
    def ask(role="office", **posted):
        request = rf.post("/page/", posted) if posted else rf.get("/page/")
        request.viewer = builders.viewer(builders.make_member(school, role), school)
        request.session = SessionStore()
        MessageMiddleware(lambda _: None).process_request(request)
        return request

    return ask


def page(request, act, **deed):
    found = PageForms(request, "manage-roster")
    found.add("say-word", WordForm, Deed(act, **deed), fixed={"of": "us"})
    return found


def answer(found):
    return found.answer("404.html", {}, to="/page/")


def test_form_that_was_sent_runs_with_its_fields_and_who_asks(asked):
    seen = {}
    request = asked(do="say-word", **{"say-word-word": "hello"})
    response = answer(page(request, lambda **given: seen.update(given), said="Said."))

    assert seen == {"word": "hello", "of": "us", "by": request.viewer, "on": builders.TODAY}
    assert (response.status_code, response["Location"]) == (302, "/page/")
    assert [str(message) for message in get_messages(request)] == ["Said."]


def test_form_that_was_not_sent_does_nothing(asked):
    found = page(asked(), lambda **given: pytest.fail("nobody asked"))

    assert answer(found).status_code == 200
    assert not found.shown["say_word"].is_bound


def test_form_with_a_wrong_field_does_nothing_and_comes_back(asked):
    found = page(asked(do="say-word"), lambda **given: pytest.fail("nothing was typed"))

    assert answer(found).status_code == 422
    assert list(found.shown["say_word"].errors) == ["word"]


@pytest.mark.parametrize(("field", "place"), [("word", "word"), ("elsewhere", "__all__"), ("", "__all__")])
def test_refusal_stands_beside_its_field(asked, field, place):
    def refuse(**given):
        raise Refused("Not this word.", field)

    found = page(asked(do="say-word", **{"say-word-word": "hello"}), refuse)

    assert answer(found).status_code == 422
    assert found.shown["say_word"].errors == {place: ["Not this word."]}


def test_out_of_scope_is_not_there(asked):
    def refuse(**given):
        raise OutOfScope

    with pytest.raises(Http404):
        page(asked(do="say-word", **{"say-word-word": "hello"}), refuse)


@pytest.mark.parametrize("do", ["say-word", "sing-song", ""])
def test_form_without_the_right_or_without_a_name_is_not_there(asked, do):
    role = "coordinator" if do == "say-word" else "office"
    found = page(asked(role, do=do, **{"say-word-word": "hello"}), lambda **given: pytest.fail("this must not happen"))

    with pytest.raises(Http404):
        answer(found)


def test_answer_may_stay_on_the_page_once(asked):
    found = page(asked(do="say-word", **{"say-word-word": "hello"}), lambda **given: "a code", stay=True)

    assert answer(found).status_code == 200
    assert found.result == "a code"


def test_answer_may_lead_elsewhere_or_open_the_form_again(asked):
    request = asked(do="say-word", **{"say-word-word": "hello"})

    assert answer(page(request, lambda **given: None, to="/other/"))["Location"] == "/other/"
    assert answer(page(request, lambda **given: None, again=True))["Location"] == "/page/?again=say-word"


def test_form_beside_a_row_knows_its_row(asked):
    seen = {}
    name = f"word_id-{Row.public_id}-word"
    found = PageForms(asked(do="keep", row=Row.public_id, **{name: "hello"}), "manage-roster")
    deeds = {"keep": Deed(lambda **given: seen.update(given)), "drop": Deed(lambda **given: None, bare=True)}
    rows = found.each([Row()], WordForm, deeds, key="word_id")

    assert len(rows) == 1
    assert (seen["word"], seen["word_id"]) == ("hello", Row.public_id)
