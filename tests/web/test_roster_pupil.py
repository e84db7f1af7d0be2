"""One pupil on the roster: details, moves, family and own marks."""

import pytest

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.roster_scene import HIDDEN, as_role, errors, send, text, told, value_of, who_sees
from tracker.models import Guardian, Mark

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


@pytest.fixture
def otter(school):
    return builders.make_class(school, "Otter")


@pytest.fixture
def plover(school):
    return builders.make_class(school, "Plover")


@pytest.fixture
def pupil(otter):
    return builders.make_pupil(otter, school_ref="L-1")


@pytest.fixture
def path(pupil):
    return f"/roster/pupils/{pupil.public_id}/"


DETAILS = {"given_name": "Anouk", "family_name": "Verhaegen", "school_ref": "L-1", "mode": "written"}


def test_pupil_shows_class_and_details(office, path, pupil):
    pupil.no_timed_checks, pupil.home_languages = True, "Dutch, Arabic"
    pupil.save()
    shown = text(office.get(path))

    assert "L-1 Anouk Verhaegen Otter , grade 3" in shown
    assert "Otter , grade 3 from 7 September 2026" in shown
    assert "Timed checks none" in shown
    assert "Languages at home Dutch, Arabic" in shown
    assert "No family member is linked yet." in shown


def test_pupil_name_stands_in_neither_address_nor_title(office, path):
    body = office.get(path).content.decode()

    assert "Anouk" not in body.partition("</title>")[0]


def test_pupil_is_moved_and_the_old_class_ends_the_day_before(office, path, pupil, plover):
    values = {"class_id": plover.public_id, "grade": "4", "starts": "2026-11-23"}
    send(office, path, "move-pupil", **values)

    assert told(office, path) == ["The pupil was moved."]
    shown = text(office.get(path))
    assert "Plover , grade 4 from 23 November 2026" in shown
    assert "Otter , grade 3 7 September 2026 to 22 November 2026" in shown


def test_pupil_is_not_enrolled_twice_at_once(office, path, pupil, otter):
    response = send(office, path, "move-pupil", class_id=otter.public_id, grade="3", starts="2026-11-23")

    assert (response.status_code, errors(response)) == (422, ["The pupil is already in this class and grade."])
    assert pupil.enrolments.count() == 1


def test_pupil_entry_is_corrected_beside_its_row(office, path, pupil):
    row = pupil.enrolments.get()
    prefix = f"enrolment_id-{row.public_id}"
    send(
        office,
        path,
        "correct-enrolment",
        row=row.public_id,
        **{f"{prefix}-grade": "2", f"{prefix}-starts": "2026-09-08"},
    )
    row.refresh_from_db()

    assert (row.grade, str(row.starts)) == (2, "2026-09-08")


def test_pupil_leaves_and_stays_on_record(office, path, pupil):
    send(office, path, "pupil-left", left_on="2026-11-20")
    pupil.refresh_from_db()

    assert pupil.left_on == TODAY
    assert "left on 20 November 2026" in text(office.get(path))


def test_pupil_details_are_changed_and_wrong_ones_kept_for_mending(office, path, pupil, otter):
    builders.make_pupil(otter, school_ref="L-2")
    wrong = send(office, path, "change-pupil", **{**DETAILS, "school_ref": "L-2", "adjustments": "large print"})
    send(office, path, "change-pupil", **{**DETAILS, "adjustments": "large print", "no_timed_checks": "on"})
    pupil.refresh_from_db()

    assert errors(wrong) == ["Another pupil already has the reference L-2; each reference belongs to one pupil."]
    assert value_of(wrong, "change-pupil-adjustments") == "large print"
    assert (pupil.adjustments, pupil.no_timed_checks) == ("large print", True)


def test_pupil_family_is_added_linked_and_ended(school, office, path, pupil):
    send(office, path, "add-guardian", name="Marit Berg", starts="2026-11-20", channel="paper", language="ar")
    other = builders.make_member(school, "parent", "Jonas Berg")
    send(office, path, "link-guardian", user_id=other.public_id, starts="2026-11-20", channel="paper")
    link = Guardian.objects.get(user=other)
    shown = text(office.get(path))
    send(office, path, "end-guardian", row=link.public_id, **{f"guardian_id-{link.public_id}-ends": "2026-11-25"})
    link.refresh_from_db()

    assert ("Marit Berg from 20 November 2026" in shown, "Jonas Berg from 20 November 2026" in shown) == (True, True)
    assert str(link.ends) == "2026-11-25"
    assert Guardian.objects.get(user__name="Marit Berg").language == "ar"


def test_pupil_link_to_a_person_of_another_school_is_refused(office, path):
    stranger = builders.make_member(builders.make_school("Mill School"), "parent")
    response = send(office, path, "link-guardian", user_id=stranger.public_id, starts="2026-11-20", channel="paper")

    assert response.status_code == 422
    assert Guardian.objects.count() == 0


def test_pupil_mark_of_their_own_says_who_and_why(school, path, pupil):
    coordinator = as_role(school, "coordinator")
    values = {"skill_key": "sub-2d-regroup", "accuracy": "92.5", "rate": "12", "valid_from": "2026-11-20"}
    without = send(coordinator, path, "set-own-mark", **values)
    send(coordinator, path, "set-own-mark", **values, why="writes with a splint")
    shown = text(coordinator.get(path))

    assert errors(without) == ["This field is required."]
    assert "12 digits correct a minute and 92.5 % right, from 20 November 2026" in shown
    assert "set for this pupil, Coordinator writes with a splint" in shown
    assert Mark.objects.get().pupil == pupil


def test_pupil_is_hidden_from_strangers(school, path):
    assert who_sees(school, path) == HIDDEN


def test_pupil_may_be_read_and_not_changed_by_the_coordinator(school, path):
    coordinator = as_role(school, "coordinator")
    shown = text(coordinator.get(path))

    assert ("Change details" in shown, "Erase" in shown, "Set a mark for this pupil" in shown) == (False, False, True)
    assert send(coordinator, path, "change-pupil", **DETAILS).status_code == 404


@pytest.mark.parametrize("number", [1, 3])
def test_pupil_asks_the_database_as_often_for_one_guardian_as_for_three(
    school, office, path, pupil, number, django_assert_num_queries
):
    for one in range(number):
        builders.link_guardian(builders.make_member(school, "parent", f"Parent {one}"), pupil)
    with django_assert_num_queries(9):
        office.get(path)
