"""The week's answer: one part a class, each with its own children only."""

from datetime import timedelta

import pytest

from tests import builders
from tests.builders import TODAY
from tests.web.class_scene import make_class_scene
from tracker.progress.week import week

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return make_class_scene()


def test_week_keeps_classes_apart(scene):
    otter = builders.make_class(scene.school, "Otter", teacher=scene.teacher)
    here, there = builders.make_pupil(scene.group), builders.make_pupil(otter, "Bilal", "Chaudry")
    builders.make_flag(there)
    check = builders.make_check(otter)
    builders.make_attempt(check, there)

    heron, other = week(scene.viewer)

    assert (heron.name, heron.pupils, heron.look_at, heron.open_checks) == ("Heron", 1, (), ())
    assert [(one.name) for one in other.look_at] == ["Bilal Chaudry"]
    assert [(one.left, one.size) for one in other.open_checks] == [(1, 1)]
    assert here.public_id not in {one.pupil_id for one in other.look_at}


def test_week_counts_what_is_left(scene):
    one, two = builders.make_pupils(scene.group, 2)
    check = scene.plan((one, "add-tens"), (two, "add-tens"))
    check.attempts.filter(pupil=one).update(status="absent")

    assert [(due.left, due.size) for due in week(scene.viewer)[0].open_checks] == [(1, 2)]


def test_week_forgets_a_child_who_left_the_class(scene):
    gone = builders.make_pupil(scene.group)
    builders.make_flag(gone)
    gone.enrolments.update(ends=TODAY - timedelta(days=1))

    (heron,) = week(scene.viewer)

    assert (heron.pupils, heron.look_at) == (0, ())


def test_week_shows_a_covering_teacher_nothing(scene):
    cover = builders.make_member(scene.school, "cover")
    builders.give_class(cover, scene.group, cover=True)

    assert week(builders.viewer(cover, scene.school)) == ()


def test_week_says_nothing_of_chance_without_flags(scene):
    builders.make_standing(builders.make_pupil(scene.group))

    assert week(scene.viewer)[0].by_chance == ""
