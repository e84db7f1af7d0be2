"""The plan of an open check changed later: added, moved to another skill, taken out while still due."""

from datetime import timedelta

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.class_scene import NOBODY, main_part, make_class_scene

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


@pytest.fixture
def children(scene):
    return builders.make_pupils(scene.group, 2)


@pytest.fixture
def check(scene, children):
    return scene.plan((children[0], "add-tens"))


def path_of(check):
    return f"/week/plan/{check.class_group.public_id}/checks/{check.public_id}/"


def rows_of(check):
    return sorted(check.attempts.values_list("pupil__given_name", "skill__key", "seconds"))


def test_change_adds_the_new_child_and_moves_another(scene, check, children):
    row = check.attempts.get()
    sent = {f"skill-{row.public_id}": "sub-tens", f"skill-{children[1].public_id}": "add-facts-20"}

    response = scene.post(path_of(check), sent)

    assert (response.status_code, response["Location"].endswith("/scores/")) == (302, True)
    assert rows_of(check) == [("Pupil01", "sub-tens", 120), ("Pupil02", "add-facts-20", 120)]


def test_change_takes_a_row_out_and_adds_another_one(scene, check, children):
    sent = {f"skill-{check.attempts.get().public_id}": "", "more_pupil": children[1].public_id, "more_skill": "year-3"}

    response = scene.post(path_of(check), sent | {"print": "1"})

    assert response["Location"] == f"{path_of(check)}print/"
    assert rows_of(check) == [("Pupil02", "year-3", 120)]


def test_change_to_no_time_keeps_the_sheet(scene, check):
    row = check.attempts.get()

    scene.post(path_of(check), {f"skill-{row.public_id}": "add-tens", f"untimed-{row.public_id}": "on"})

    assert rows_of(check) == [("Pupil01", "add-tens", None)]
    assert check.attempts.get().sheet == row.sheet


def test_change_leaves_rows_with_an_entry_as_they_are(scene, check):
    check.attempts.update(status="done", correct=30, wrong=1, omitted=0)

    response = scene.get(path_of(check))
    scene.post(path_of(check), {})

    assert [row.due for row in response.context["form"].plan.rows] == [False]
    assert rows_of(check) == [("Pupil01", "add-tens", 120)]


def test_change_lets_a_child_who_left_only_be_taken_out(scene, check, children):
    children[0].enrolments.update(ends=TODAY - timedelta(days=1))

    response = scene.get(path_of(check))

    (row,) = response.context["form"].plan.rows
    field = response.context["form"].fields[f"skill-{row.attempt_id}"]
    assert [str(key) for key, _ in field.choices] == ["", "add-tens"]
    assert "not in this class on that day" in main_part(response)


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"more_skill": ""}, "Choose the skill of the further row."),
        ({"more_skill": "juggling"}, "juggling is not one of the available choices"),
        ({"more_skill": "add-tens"}, "this one is named twice"),
    ],
)
def test_change_says_what_is_wrong_and_changes_nothing(scene, check, children, sent, sentence):
    row = check.attempts.get()
    sent = {"more_pupil": children[0].public_id, f"skill-{row.public_id}": "add-tens", **sent}

    response = scene.post(path_of(check), sent)

    assert response.status_code == 422
    assert sentence in main_part(response)
    assert check.attempts.get() == row


def test_change_of_a_closed_check_leads_to_what_it_showed(scene, check):
    check.state, check.closed_at = "closed", NOW
    check.save()

    response = scene.get(path_of(check))

    assert response["Location"] == f"/classes/{scene.group.public_id}/checks/{check.public_id}/"


def test_change_is_nobody_elses(scene, check):
    assert scene.statuses(path_of(check)) == NOBODY


def test_change_of_a_check_without_rows_shows_who_could_sit_it(scene, check, children):
    check.attempts.all().delete()

    response = scene.get(path_of(check))

    assert [line.name for line in response.context["form"].plan.others] == ["Pupil01 Name01", "Pupil02 Name02"]
    assert "In this check" not in main_part(response)


@pytest.mark.parametrize("number", [1, 3, 30])
def test_change_costs_the_same_for_any_number(scene, number, django_assert_num_queries):
    check = scene.plan(*[(pupil, "add-tens") for pupil in builders.make_pupils(scene.group, number)])
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then class, check, places, standings, what was sat lately, rows.
    with django_assert_num_queries(9):
        response = client.get(path_of(check))

    assert len(response.context["form"].plan.rows) == number
