"""Signing in with a printed one-time code."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from tests import builders
from tests.builders import TODAY
from tracker.actions import accounts
from tracker.models import AccessCode

pytestmark = pytest.mark.django_db


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return builders.viewer(builders.make_member(school, "office"), school)


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(timezone.now())


def make_person(school, role, **fields):
    user = builders.make_user(**fields)
    builders.join(user, school, role, starts=TODAY - timedelta(days=90), ends=None)
    return user


@pytest.fixture
def parent(school):
    return make_person(school, "parent")


def code_for(user, office):
    return accounts.make_code(user_id=user.public_id, by=office, on=TODAY)


def use(client, name, code, **more):
    return client.post("/account/code/", {"code-name": name, "code-code": code, **more})


def user_of(client):
    return client.get("/session/").json()["user"]


def test_code_lets_its_owner_in(client, parent, office):
    response = use(client, parent.username.upper(), code_for(parent, office).upper().replace("-", " "))

    assert (response.status_code, response["Location"]) == (302, "/")
    assert user_of(client) == parent.public_id


def test_code_works_once(parent, office):
    code = code_for(parent, office)
    first, second = Client(), Client()
    use(first, parent.username, code)
    again = use(second, parent.username, code)

    assert user_of(first) == parent.public_id
    assert user_of(second) is None
    assert again.status_code == 422
    assert "don’t open anything" in again.content.decode()


def refusal(response):
    text = response.content.decode()
    return response.status_code, text.partition('role="alert">')[2].partition("</div>")[0]


def test_code_is_refused_in_the_same_words_whatever_is_wrong(school, parent, office, at_time):
    other = make_person(school, "parent")
    code, others_code = code_for(parent, office), code_for(other, office)
    closed = make_person(school, "parent")
    closed_code = code_for(closed, office)
    closed.is_active = False
    closed.save()
    tries = [
        ("nobody.here", code),
        (parent.username, "bcdf-ghjk-mnpq"),
        (parent.username, others_code),
        (closed.username, closed_code),
        (parent.username, ""),
    ]

    answers = {refusal(use(Client(), *each)) for each in tries}

    assert len(answers) == 2, "an empty box says so at the box; all others answer alike"
    assert all(status == 422 for status, _ in answers)
    assert AccessCode.objects.filter(used_at__isnull=False).count() == 0


def test_code_asks_the_database_the_same_for_a_known_and_an_unknown_name(parent, django_assert_num_queries):
    """No slow hash stands behind a code, so the time is that of the statements: a code and who it was for the log."""
    use(Client(), "warm.up", "bcdf-ghjk-mnpq")
    for name in (parent.username, "nobody.here"):
        with django_assert_num_queries(2):
            use(Client(), name, "bcdf-ghjk-mnpq")


def test_code_runs_out(parent, office, at_time):
    code = code_for(parent, office)
    at_time(timezone.now() + timedelta(days=28, seconds=1))

    assert use(Client(), parent.username, code).status_code == 422


def test_code_takes_the_place_of_the_one_before(client, parent, office):
    first = code_for(parent, office)
    code_for(parent, office)

    assert use(client, parent.username, first).status_code == 422


def test_code_is_throttled_with_the_name(parent, office):
    code = code_for(parent, office)
    for n in range(5):
        use(Client(REMOTE_ADDR=f"192.0.2.{n}"), parent.username, "bcdf-ghjk-mnpq")
    response = use(Client(REMOTE_ADDR="192.0.2.9"), parent.username, code)

    assert response.status_code == 422
    assert "tried too often" in response.content.decode()


def test_code_is_kept_as_a_digest_only(parent, office):
    code = code_for(parent, office)

    row = AccessCode.objects.get()
    assert code not in str(vars(row))
    assert code.replace("-", "") not in str(vars(row))
    assert len(row.code_hash) == 64


def test_new_staff_choose_a_password_before_anything_else(client, school, office):
    user = make_person(school, "teacher")
    user.set_password(None)
    user.save()
    use(client, user.username, code_for(user, office))

    assert client.get("/classes/")["Location"] == "/account/password/"
    page = client.get("/account/password/").content.decode()
    assert "Choose a password" in page
    assert "Your password until now" not in page


def test_cover_who_came_in_with_a_code_goes_straight_to_the_check(client, school, office, settings, at_time):
    settings.SECOND_FACTOR_FOR_STAFF = True
    today = timezone.now().date()
    user = builders.make_user()
    user.set_password(None)
    user.save()
    builders.join(user, school, "cover", starts=today, ends=today)
    code = accounts.make_code(user_id=user.public_id, by=office, on=today)
    use(client, user.username, code)

    assert client.get("/")["Location"] == "/today/"
    assert "Only today’s scores are open to you" in client.get("/today/").content.decode()


def test_code_of_one_school_opens_no_other(client, school, office):
    """Otherwise an office could print itself a way into another school through a person of both."""
    other = builders.make_school("Second School")
    user = make_person(school, "parent")
    builders.join(user, other, "parent", starts=TODAY - timedelta(days=90))
    use(client, user.username, code_for(user, office))

    refused = client.post("/account/school/", {"school": other.public_id})

    assert refused.status_code == 404
    assert "Second School" not in client.get("/account/sessions/").content.decode()


def test_code_of_one_school_sets_no_password_for_a_person_of_two(client, school, office):
    user = make_person(school, "parent")
    builders.join(user, builders.make_school("Second School"), "parent", starts=TODAY - timedelta(days=90))
    use(client, user.username, code_for(user, office))
    words = "quiet green river stones"

    response = client.post("/account/password/", {"new": words, "again": words})

    user.refresh_from_db()
    assert "more than one school" in response.content.decode()
    assert not user.check_password(words)


def test_code_page_by_a_link_is_not_there(client):
    assert client.get("/account/code/").status_code == 405
