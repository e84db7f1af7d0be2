"""What a check showed: who to look at, who became secure, and every row."""

from datetime import timedelta

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import NOBODY, main_part, make_class_scene
from tracker.models import MasteryEvent

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


def path_of(check):
    return f"/classes/{check.class_group.public_id}/checks/{check.public_id}/"


def closed(scene, **fields):
    return builders.make_check(scene.group, state="closed", closed_at=NOW, **fields)


def test_check_shows_rows_counts_and_the_middle_of_the_class(scene):
    check = closed(scene)
    for pupil, correct in zip(builders.make_pupils(scene.group, 3), (20, 30, 46), strict=True):
        builders.make_attempt(check, pupil, correct=correct, wrong=4)
    builders.make_attempt(check, builders.make_pupil(scene.group, "Zoë", "Young"), status="absent")

    response = scene.get(path_of(check))
    page = main_part(response)

    summary = response.context["summary"]
    assert [(row.rate, row.accuracy) for row in summary.rows] == [
        ("10.0", "83 %"),
        ("15.0", "88 %"),
        ("23.0", "92 %"),
        ("", ""),
    ]
    assert [(line.pupils, line.rate, line.accuracy) for line in summary.skills] == [(3, "15.0", "88 %")]
    assert "3 done, 1 absent." in page
    assert "This check raised no flag." in page


def test_check_shows_who_became_secure_by_it_and_whom_it_flagged(scene):
    check = closed(scene)
    one, two = builders.make_pupils(scene.group, 2)
    late = builders.make_attempt(check, one, correct=50, taken_on=builders.TODAY + timedelta(days=2))
    MasteryEvent.objects.create(
        school=scene.school, pupil=one, skill=late.skill, kind="secure", on=late.taken_on, attempt=late,
        mark_accuracy=0.95, mark_rate=20, mark_source="common-practice", mark_version=0,
        measures_version="test", recorded_at=NOW,
    )  # fmt: skip
    builders.make_attempt(check, two, correct=10, wrong=9)
    builders.make_flag(two, check_sat=check, kind="no-recent-check", evidence={"weeks": 4, "last_on": "2026-10-23"})
    builders.make_flag(one, check_sat=check, state="withdrawn", ended_at=NOW, ended_why="corrected")

    summary = scene.get(path_of(check)).context["summary"]

    assert [(one.name, one.kind) for one in summary.became] == [("Pupil01 Name01", "secure")]
    assert [(one.name, one.reasons[0].why) for one in summary.look_at] == [
        ("Pupil02 Name02", "Last check on 23 October, 4 school weeks ago.")
    ]


def test_check_still_open_says_that_flags_come_later(scene):
    check = scene.plan((builders.make_pupil(scene.group), "add-tens"))

    page = main_part(scene.get(path_of(check)))

    assert "Still open: 1 row left." in page
    assert "Flags come when the check is closed." in page
    assert f'href="{path_of(check)}scores/"' in page


def test_check_keeps_the_record_of_a_child_who_moved_on_shut(scene):
    check = closed(scene)
    gone = builders.make_pupil(scene.group)
    builders.make_attempt(check, gone, correct=30)
    builders.make_standing(gone, stage="secure", last_rate=44.0)
    gone.enrolments.update(ends=builders.TODAY - timedelta(days=1))

    response = scene.get(path_of(check))

    (row,) = response.context["summary"].rows
    assert (row.name, row.rate, row.stage.number) == ("Anouk Verhaegen", "15.0", "")
    assert gone.public_id not in main_part(response)


def test_check_is_nobody_elses(scene):
    check = closed(scene)

    assert scene.statuses(path_of(check)) == NOBODY


def test_check_of_another_class_is_not_found_under_this_one(scene):
    other = builders.make_check(builders.make_class(scene.school, "Otter"))

    assert scene.get(f"/classes/{scene.group.public_id}/checks/{other.public_id}/").status_code == 404


def test_check_without_rows_says_so(scene):
    assert "No scores yet." in main_part(scene.get(path_of(closed(scene))))


@pytest.mark.parametrize("number", [1, 3, 30])
def test_check_costs_the_same_for_any_number(scene, number, django_assert_num_queries):
    check = closed(scene)
    for pupil in builders.make_pupils(scene.group, number):
        builders.make_attempt(check, pupil, correct=30)
        builders.make_standing(pupil)
        builders.make_flag(pupil, check_sat=check)
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then check, rows, whose record is open, standings, flags, events, whether taught.
    with django_assert_num_queries(10):
        response = client.get(path_of(check))

    assert len(response.context["summary"].rows) == number
