"""The plan of an open check: what may still change."""

import pytest

from tests import builders
from tests.web.class_scene import make_class_scene
from tracker.progress.open_plan import open_plan

pytestmark = pytest.mark.django_db


def test_open_plan_tells_due_rows_from_entered_ones_and_from_children_not_in_it():
    scene = make_class_scene()
    due, done, new = builders.make_pupils(scene.group, 3)
    check = scene.plan((due, "add-tens"), (done, "sub-tens"))
    check.attempts.filter(pupil=done).update(status="done", correct=30, wrong=0, omitted=0)

    plan = open_plan(scene.viewer, scene.group, check)

    assert [(row.name, row.skill, row.due, row.form) for row in plan.rows] == [
        ("Pupil01 Name01", "Add tens", True, 1),
        ("Pupil02 Name02", "Subtract tens", False, 1),
    ]
    assert plan.rows[1].status == "done"
    assert [line.pupil_id for line in plan.others] == [new.public_id]
    assert [name for _, name in plan.pupils] == ["Pupil01 Name01", "Pupil02 Name02", "Pupil03 Name03"]
