"""Flags that stand."""

from datetime import timedelta

import pytest
from django.http import Http404

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.class_scene import make_class_scene
from tracker.queries import flags

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return make_class_scene()


def test_standing_flags_are_open_or_seen_newest_first(scene):
    pupil = builders.make_pupil(scene.group)
    old = builders.make_flag(pupil, "add-tens", raised_on=TODAY - timedelta(days=7))
    seen = builders.make_flag(pupil, state="acknowledged", seen_at=NOW)
    for state in ("closed", "withdrawn"):
        builders.make_flag(pupil, "sub-tens", state=state, ended_at=NOW, ended_why="done")

    assert list(flags.standing_flags(scene.viewer, [pupil.pk])) == [seen, old]


def test_raised_by_leaves_out_what_was_withdrawn(scene):
    pupil, check = builders.make_pupil(scene.group), builders.make_check(scene.group)
    kept = builders.make_flag(pupil, check_sat=check)
    builders.make_flag(pupil, "add-tens", check_sat=check, state="withdrawn", ended_at=NOW, ended_why="corrected")

    assert list(flags.raised_by(scene.viewer, check)) == [kept]


def test_flag_is_found_under_its_own_child_and_by_those_who_may(scene):
    one, two = builders.make_pupils(scene.group, 2)
    flag = builders.make_flag(one)
    other = builders.viewer(scene.strangers()["other teacher"])

    assert flags.flag(scene.viewer, one.public_id, flag.public_id) == flag
    for viewer, pupil in ((scene.viewer, two), (other, one)):
        with pytest.raises(Http404):
            flags.flag(viewer, pupil.public_id, flag.public_id)
