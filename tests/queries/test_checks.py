"""Checks and their rows, by viewer."""

from datetime import timedelta

import pytest
from django.http import Http404

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.class_scene import make_class_scene
from tracker.queries import checks

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return make_class_scene()


def test_check_is_read_by_a_coordinator_and_typed_by_the_teacher(scene):
    check = builders.make_check(scene.group)
    coordinator = builders.viewer(builders.make_member(scene.school, "coordinator"))
    ids = (scene.group.public_id, check.public_id)

    assert checks.check(coordinator, *ids) == checks.check_to_enter(scene.viewer, *ids) == check
    with pytest.raises(Http404):
        checks.check_to_enter(coordinator, *ids)


def test_open_on_finds_the_open_check_of_that_day_and_class(scene):
    builders.make_check(scene.group, state="closed", closed_at=NOW)
    builders.make_check(scene.group, on=TODAY - timedelta(days=1))
    builders.make_check(builders.make_class(scene.school, "Otter"))

    assert checks.open_on(scene.viewer, scene.group, TODAY) is None
    check = builders.make_check(scene.group)
    assert checks.open_on(scene.viewer, scene.group, TODAY) == check


def test_planned_pairs_are_public_ids_and_keys(scene):
    pupil = builders.make_pupil(scene.group)
    check = scene.plan((pupil, "add-tens"))

    assert checks.planned_pairs(scene.viewer, check) == {(pupil.public_id, "add-tens")}


def test_recent_rows_are_what_was_sat_in_two_months_oldest_first(scene):
    pupil = builders.make_pupil(scene.group)
    days = [61, 60, 7, 0]
    for days_ago in days:
        check = builders.make_check(scene.group, on=TODAY - timedelta(days=days_ago))
        builders.make_attempt(check, pupil, **({} if days_ago == 0 else {"correct": 30}))

    rows = checks.recent_rows(scene.viewer, [pupil.pk])

    assert [(TODAY - row.taken_on).days for row in rows] == [60, 7]


def test_open_of_classes_counts_what_is_left_oldest_first(scene):
    pupil = builders.make_pupil(scene.group)
    for days_ago in (0, 7):
        builders.make_attempt(builders.make_check(scene.group, on=TODAY - timedelta(days=days_ago)), pupil)

    rows = checks.open_of_classes(scene.viewer, [scene.group])

    assert [((TODAY - row.on).days, row.left, row.size) for row in rows] == [(7, 1, 1), (0, 1, 1)]
