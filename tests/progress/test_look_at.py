"""Flags and days on record in words, each child once."""

import pytest

from tests import builders
from tests.web.class_scene import make_class_scene
from tracker.progress.look_at import look_at

pytestmark = pytest.mark.django_db


def test_look_at_names_each_child_once_in_the_order_of_the_flags():
    scene = make_class_scene()
    one, two = builders.make_pupils(scene.group, 2)
    flags = [
        builders.make_flag(two, kind="no-recent-check", evidence={"weeks": 3, "last_on": "2026-10-30"}),
        builders.make_flag(one),
        builders.make_flag(two, "add-tens"),
    ]

    found = look_at(flags, scene.school)

    assert [(line.name, [reason.skill for reason in line.reasons]) for line in found] == [
        ("Pupil02 Name02", ["Subtract two-digit numbers, with regrouping", "Add tens"]),
        ("Pupil01 Name01", ["Subtract two-digit numbers, with regrouping"]),
    ]
    assert found[0].reasons[0].why == "Last check on 30 October, 3 school weeks ago."
    assert found[0].reasons[0].label == "no recent check"
