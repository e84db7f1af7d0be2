"""Choosing a file, and the files that were loaded before."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests import builders
from tests.actions.imports.files import KEY, ON, make_office, scores
from tests.builders import NOW
from tracker.models import Attempt, ImportBatch

pytestmark = pytest.mark.django_db
PATH = "/data/load/"


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def office():
    return make_office()


def client_of(user):
    return builders.sign_in(Client(), user)


def upload(client, content, kind="scores", name="class.csv"):
    data = content.encode() if isinstance(content, str) else content
    return client.post(PATH, {"kind": kind, "file": SimpleUploadedFile(name, data)})


def messages_of(response):
    return [str(message) for message in response.context["messages"]]


def load_one(office, given="Anouk"):
    return office.load(scores([office.pupil(given).school_ref, KEY, ON, 24, 3, 120]))


def test_page_says_what_a_file_needs_and_what_was_loaded(office):
    load_one(office)

    response = client_of(office.by.user).get(PATH)

    page = response.content.decode()
    assert [batch.file_name for batch in response.context["batches"]] == ["class.csv"]
    assert "Heads of the columns" in page
    assert page.count("/undo/") == 1


def test_page_of_a_new_school_is_empty(office):
    response = client_of(office.by.user).get(PATH)

    assert list(response.context["batches"]) == []
    assert "Nothing yet." in response.content.decode()


@pytest.mark.parametrize("role", ["teacher", "cover", "assistant", "provider", "head", "parent"])
def test_page_is_not_there_for_others(office, role):
    client = client_of(builders.make_member(office.school, role))

    assert [client.get(PATH).status_code, upload(client, "x").status_code] == [404, 404]


def test_coordinator_may(office):
    response = client_of(builders.make_member(office.school, "coordinator")).get(PATH)

    assert (response.status_code, response.templates[0].name) == (200, "data/load.html")


@pytest.mark.parametrize("number", [1, 3])
def test_page_costs_the_same_for_any_number(office, number, django_assert_num_queries):
    for n in range(number):
        load_one(office, f"Pupil{n}")
    client = client_of(office.by.user)

    # Session, user and memberships; then the files with who loaded them.
    with django_assert_num_queries(4):
        response = client.get(PATH)

    assert len(response.context["batches"]) == number


def test_chosen_file_waits_in_the_session_and_is_looked_at(office):
    client = client_of(office.by.user)

    response = upload(client, scores(["A1", KEY, ON, 24, 3, 120]))

    assert (response.status_code, response["Location"]) == (302, "/data/load/preview/")
    assert client.session["file-waiting"]["name"] == "class.csv"


@pytest.mark.parametrize(
    ("data", "field", "sentence"),
    [
        ({"kind": "scores"}, "file", "Choose a file first."),
        ({"file": b"x"}, "kind", "Say whether the file holds pupils or scores."),
        ({"kind": "scores", "file": b""}, "file", "The file is empty."),
        (
            {"kind": "scores", "file": b"x" * 2_000_001},
            "file",
            "The file is larger than 2 MB. Split it into smaller files.",
        ),
    ],
)
def test_choice_that_is_none_says_so_beside_the_field(office, data, field, sentence):
    values = {**data, "file": SimpleUploadedFile("class.csv", data["file"])} if "file" in data else data

    response = client_of(office.by.user).post(PATH, values)

    assert response.status_code == 422
    assert response.context["form"].errors[field] == [sentence]
    assert sentence in response.content.decode()


def test_undo_takes_a_file_back(office):
    batch = load_one(office)
    client = client_of(office.by.user)

    response = client.post(f"{PATH}{batch.public_id}/undo/", follow=True)

    assert messages_of(response) == ["The import was undone."]
    assert Attempt.objects.count() == 0
    page = response.content.decode()
    assert (page.count("undone</span>"), page.count("/undo/")) == (1, 0)


def test_undo_that_is_refused_says_why(office):
    batch = load_one(office)
    Attempt.objects.update(version=2)

    response = client_of(office.by.user).post(f"{PATH}{batch.public_id}/undo/", follow=True)

    assert messages_of(response) == [
        "Scores of this file were corrected since, so it can’t be undone. Correct single scores."
    ]
    assert Attempt.objects.count() == 1


def test_undo_of_another_schools_file_is_not_there(office):
    batch = load_one(make_office(name="Second School"))

    response = client_of(office.by.user).post(f"{PATH}{batch.public_id}/undo/")

    assert response.status_code == 404
    assert ImportBatch.objects.get().undone_at is None
