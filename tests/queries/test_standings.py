"""Standings as light rows, and what a check brought."""

from datetime import timedelta

import pytest

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.class_scene import make_class_scene
from tracker.models import MasteryEvent
from tracker.queries import standings

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return make_class_scene()


def event(attempt, on=TODAY):
    return MasteryEvent.objects.create(
        school=attempt.school, pupil=attempt.pupil, skill=attempt.skill, kind="secure", on=on, attempt=attempt,
        mark_accuracy=0.95, mark_rate=20, mark_source="common-practice", mark_version=0,
        measures_version="test", recorded_at=NOW,
    )  # fmt: skip


def test_current_gives_the_rows_that_carry_the_stage(scene):
    pupil = builders.make_pupil(scene.group)
    builders.make_standing(pupil, "sub-2d-regroup", "quicker", last_rate=14.5)
    builders.make_standing(pupil, "add-tens", "secure", secure_on=TODAY)
    builders.make_standing(pupil, "add-tens", is_current=False, place="away", mode="written")

    rows = standings.current(scene.viewer, [pupil.pk])

    assert [(row.skill.key, row.stage, row.secure_on) for row in rows] == [
        ("add-tens", "secure", TODAY),
        ("sub-2d-regroup", "quicker", None),
    ]
    assert rows[1].last_rate == 14.5


def test_current_stays_in_the_school(scene):
    elsewhere = make_class_scene()
    pupil = builders.make_pupil(elsewhere.group)
    builders.make_standing(pupil)

    assert standings.current(scene.viewer, [pupil.pk]) == []


def test_became_by_gives_what_rested_on_this_check_whatever_the_day(scene):
    check, other = builders.make_check(scene.group), builders.make_check(scene.group, on=TODAY - timedelta(days=7))
    one, two = builders.make_pupils(scene.group, 2)
    mine = event(builders.make_attempt(check, one, correct=50), on=TODAY - timedelta(days=1))
    event(builders.make_attempt(other, two, correct=50))

    assert list(standings.became_by(scene.viewer, check)) == [mine]


def test_became_is_of_the_days_since(scene):
    check = builders.make_check(scene.group)
    one, two = builders.make_pupils(scene.group, 2)
    new = event(builders.make_attempt(check, one, correct=50))
    event(builders.make_attempt(check, two, correct=50), on=TODAY - timedelta(days=14))

    assert list(standings.became(scene.viewer, [one.pk, two.pk], TODAY - timedelta(days=13))) == [new]


def test_still_within_leaves_out_who_moved_on(scene):
    check = builders.make_check(scene.group)
    here, gone = builders.make_pupils(scene.group, 2)
    for pupil in (here, gone):
        builders.make_attempt(check, pupil)
    gone.enrolments.update(ends=TODAY - timedelta(days=1))

    assert standings.still_within(scene.viewer, check) == {here.pk}
