"""What a chosen file would do, and loading it."""

import pytest
from django.test import Client

from tests import builders
from tests.actions.imports.files import KEY, ON, make_office, scores, table
from tests.builders import NOW
from tests.web.test_data_load import client_of, messages_of, upload
from tracker.models import Attempt, ImportBatch, Pupil

pytestmark = pytest.mark.django_db
PATH = "/data/load/preview/"


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def office():
    return make_office()


@pytest.fixture
def client(office):
    return client_of(office.by.user)


def rows(office, number):
    return [[pupil.school_ref, KEY, ON, 24, 3, 120] for pupil in builders.make_pupils(office.group, number)]


def press_load(client, seen):
    return client.post(PATH, {"digest": seen.context["digest"]}, follow=True)


def test_preview_counts_what_would_happen(office, client):
    content = table(
        "ref,skill,date,correct,wrong,seconds,Seat", *([*row, "window"] for row in rows(office, 2)), ["Total"]
    )
    upload(client, content)

    page = client.get(PATH).content.decode()

    assert "<dt>New scores</dt><dd>2</dd>" in page
    assert "<dt>Total lines left out</dt><dd>1</dd>" in page
    assert "<dt>Columns left alone</dt><dd><bdi>Seat</bdi></dd>" in page
    assert Attempt.objects.count() == 0


def test_preview_of_a_roster_names_new_classes(office, client):
    content = table("ref,name,class,grade", ["A1", "Ana <b>Ruiz", "Kite & Co", 3])
    upload(client, content, "roster")

    page = client.get(PATH).content.decode()

    assert "<dt>New pupils</dt><dd>1</dd>" in page
    assert "<bdi>Kite &amp; Co</bdi>" in page


def test_preview_without_a_file_goes_back(client):
    response = client.get(PATH)

    assert (response.status_code, response["Location"]) == (302, "/data/load/")


@pytest.mark.parametrize("role", ["teacher", "cover", "assistant", "provider", "head", "parent"])
def test_preview_is_not_there_for_others(office, role):
    stranger = client_of(builders.make_member(office.school, role))

    assert [stranger.get(PATH).status_code, stranger.post(PATH).status_code] == [404, 404]


def test_preview_of_somebody_else_is_another_file(office, client):
    upload(client, scores(*rows(office, 1)))
    colleague = client_of(builders.make_member(office.school, "coordinator"))

    assert colleague.get(PATH).status_code == 302


@pytest.mark.parametrize("number", [1, 3])
def test_preview_costs_the_same_for_any_number(office, client, number, django_assert_num_queries):
    upload(client, scores(*rows(office, number)))

    # Session, user and memberships; then pupils, skills, sheets, years, enrolments and attempts.
    with django_assert_num_queries(9):
        response = client.get(PATH)

    assert len(response.context["plan"].make) == number


def test_faults_stand_in_a_table_by_row_and_column(office, client):
    upload(client, scores(["<b>9", KEY, ON, 24, 3, 120], ["", KEY, ON, 24, 3, 120]))

    response = client.get(PATH)

    page = response.content.decode()
    assert "2 things to mend first" in page
    assert "No pupil of this school has the reference “&lt;b&gt;9”." in page
    assert page.count("<bdi>reference</bdi>") == 2
    assert "Load the file" not in page


def test_faults_beyond_what_anybody_mends_are_counted(office, client):
    upload(client, scores(*([f"X{n}", KEY, ON, 24, 3, 120] for n in range(250))))

    response = client.get(PATH)

    assert len(response.context["faults"]) == 200
    assert "The first 200 of 250 are shown." in response.content.decode()


def test_file_that_cannot_be_read_goes_back_with_a_sentence(client):
    upload(client, b"PK\x03\x04")

    response = client.get(PATH, follow=True)

    assert messages_of(response) == [
        "This is a workbook. Save the sheet as CSV in your spreadsheet program and choose that file."
    ]


def test_load_says_how_many_rows(office, client):
    upload(client, scores(*rows(office, 3)))

    response = press_load(client, client.get(PATH))

    assert (response.redirect_chain, messages_of(response)) == ([("/data/load/", 302)], ["3 rows were loaded."])
    assert Attempt.objects.count() == 3
    assert "file-waiting" not in client.session


def test_load_twice_by_a_double_click_doubles_nothing(office, client):
    upload(client, scores(*rows(office, 3)))
    seen = client.get(PATH)
    press_load(client, seen)

    response = press_load(client, seen)

    assert messages_of(response) == ["No file is waiting: it was loaded already, or it must be chosen again."]
    assert (Attempt.objects.count(), ImportBatch.objects.count()) == (3, 1)


def test_load_by_two_requests_at_once_doubles_nothing(office, client):
    upload(client, scores(*rows(office, 3)))
    seen, waiting = client.get(PATH), client.session["file-waiting"]
    press_load(client, seen)
    session = client.session
    session["file-waiting"] = waiting
    session.save()

    response = press_load(client, seen)

    assert messages_of(response) == ["Everything in this file was there already. Nothing was changed."]
    assert (Attempt.objects.count(), ImportBatch.objects.count()) == (3, 1)


def test_file_replaced_in_another_window_is_shown_before_it_is_loaded(office, client):
    (first, second) = rows(office, 2)
    upload(client, scores(first))
    seen = client.get(PATH)
    upload(client, scores(second), name="other.csv")

    response = press_load(client, seen)

    assert response.redirect_chain == [(PATH, 302)]
    assert messages_of(response) == ["Another file was chosen since. This is what that one would do."]
    assert (response.context["name"], Attempt.objects.count()) == ("other.csv", 0)


def test_score_typed_between_look_and_load_is_not_written_over(office, client):
    ((reference, *_),) = found = rows(office, 1)
    upload(client, scores(*found))
    seen = client.get(PATH)
    pupil = Pupil.objects.get(school_ref=reference)
    builders.make_attempt(builders.make_check(office.group), pupil, correct=30)

    (message,) = messages_of(press_load(client, seen))

    assert message.startswith("The file was not loaded. Row 2: The record says otherwise")
    assert Attempt.objects.get().correct == 30


def test_ended_sign_in_asks_for_it_and_loads_nothing(office, client):
    upload(client, scores(*rows(office, 1)))
    seen = client.get(PATH)

    response = Client().post(PATH, {"digest": seen.context["digest"]})

    assert (response.status_code, response["Location"]) == (302, "/account/sign-in/?next=/")
    assert Attempt.objects.count() == 0


def test_first_rows_are_shown_as_they_were_read(office, client):
    """So that wrong letters and wrong columns are seen by eye before they are loaded."""
    upload(client, table("ref,name,class,grade", *([f"A{n}", f"Zoë{n} Müller", "Kite", 3] for n in range(7))), "roster")

    page = client.get(PATH).content.decode()

    assert [f"<bdi>Zoë{n}</bdi>" in page for n in (0, 4, 5)] == [True, True, False]
