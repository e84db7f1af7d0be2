"""Erasing a pupil, asked twice."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import HIDDEN, as_role, errors, send, text, told, who_sees
from tracker.models import Attempt, ErasureEntry, Pupil

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return as_role(school)


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.VAR_DIR = tmp_path


@pytest.fixture
def pupil(school):
    pupil = builders.make_pupil(builders.make_class(school), school_ref="L-1")
    builders.make_history(pupil, [(20, 1)])
    return pupil


@pytest.fixture
def path(pupil):
    return f"/roster/pupils/{pupil.public_id}/erase/"


def test_erase_says_what_goes_and_asks_for_the_reference(office, path):
    shown = text(office.get(path))

    assert "It can’t be taken back." in shown
    assert "set the last day instead" in shown
    assert Pupil.objects.count() == 1


def test_erase_with_the_reference_erases(office, path, pupil):
    response = send(office, path, "erase-pupil", reference=" l-1 ")

    assert response["Location"] == "/roster/pupils/"
    assert told(office, "/roster/pupils/") == ["The pupil and all records were erased."]
    assert (Pupil.objects.count(), Attempt.objects.count()) == (0, 0)
    assert ErasureEntry.objects.get().pupil_public_id == pupil.public_id
    assert office.get(path).status_code == 404


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("L-2", "This is not the reference of this pupil; nothing was erased."),
        ("", "This field is required."),
    ],
)
def test_erase_with_another_reference_erases_nothing(office, path, typed, sentence):
    response = send(office, path, "erase-pupil", reference=typed)

    assert (response.status_code, errors(response)) == (422, [sentence])
    assert Pupil.objects.count() == 1


def test_erase_is_hidden_from_strangers_and_from_the_coordinator(school, path):
    assert who_sees(school, path) == HIDDEN
    assert as_role(school, "coordinator").get(path).status_code == 404
    assert send(as_role(school, "deputy"), path, "erase-pupil", reference="L-1").status_code == 404
    assert Pupil.objects.count() == 1


@pytest.mark.parametrize("number", [1, 3])
def test_erase_asks_the_database_as_often_for_one_check_as_for_three(
    office, pupil, path, number, django_assert_num_queries
):
    builders.make_history(pupil, [(20, 1)] * (number - 1), "add-tens")
    with django_assert_num_queries(4):
        office.get(path)
