"""Getting the school's own data out."""

import pytest

from tests import builders
from tests.actions.imports.files import make_office
from tests.builders import NOW
from tests.web.test_data_load import client_of

pytestmark = pytest.mark.django_db
PATH = "/data/export/"


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def office():
    return make_office()


def test_page_offers_both_files(office):
    page = client_of(office.by.user).get(PATH).content.decode()

    assert 'href="/data/export/roster.csv"' in page
    assert 'href="/data/export/scores.csv"' in page


def test_file_is_one_to_keep_and_not_stored_on_the_way(office):
    office.pupil("=Anouk", school_ref="A1")

    response = client_of(office.by.user).get("/data/export/roster.csv")

    assert response["Content-Disposition"] == 'attachment; filename="doublerule-roster-2026-11-20.csv"'
    assert "no-store" in response["Cache-Control"]
    assert response.content.decode() == (
        "\ufeffschool reference,given name,family name,class,grade,joined on\r\n"
        "A1,'=Anouk,Verhaegen,Heron,3,2026-09-07\r\n"
    )


def test_file_of_a_new_school_has_heads_only(office):
    response = client_of(office.by.user).get("/data/export/roster.csv")

    assert response.content.decode().count("\r\n") == 1


@pytest.mark.parametrize("path", [PATH, "/data/export/roster.csv", "/data/export/scores.csv"])
@pytest.mark.parametrize("role", ["teacher", "cover", "assistant", "provider", "head", "parent"])
def test_nothing_is_there_for_others(office, role, path):
    assert client_of(builders.make_member(office.school, role)).get(path).status_code == 404


def test_other_kinds_are_not_there(office):
    assert client_of(office.by.user).get("/data/export/people.csv").status_code == 404


@pytest.mark.parametrize("number", [1, 3])
@pytest.mark.parametrize("kind", ["roster", "scores"])
def test_file_costs_the_same_for_any_number(office, kind, number, django_assert_num_queries):
    check = builders.make_check(office.group)
    for pupil in builders.make_pupils(office.group, number):
        builders.make_attempt(check, pupil, correct=24)
    client = client_of(office.by.user)

    # Session, user and memberships; then the rows.
    with django_assert_num_queries(4):
        response = client.get(f"/data/export/{kind}.csv")

    assert response.content.decode().count("\r\n") == number + 1
