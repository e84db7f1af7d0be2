"""The middle of a class, and which rows count for a rate."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import make_class_scene
from tracker.models import Attempt
from tracker.progress.check_summary import accuracy_of, check_summary, rate_of


@pytest.mark.parametrize(
    ("fields", "rate"),
    [
        ({"correct": 26, "wrong": 4, "seconds": 120}, 13.0),
        ({"correct": 26, "wrong": 4, "seconds": None}, None),
        ({"correct": 26, "wrong": 4, "seconds": 120, "mode": "oral"}, None),
        ({"correct": 26, "wrong": 4, "seconds": 120, "status": "stopped"}, None),
    ],
)
def test_rate_is_digits_correct_a_minute_of_timed_written_rows(fields, rate):
    assert rate_of(Attempt(**{"status": "done", **fields})) == rate


@pytest.mark.parametrize(("correct", "wrong", "share"), [(26, 4, 26 / 30), (0, 0, None), (None, None, None), (0, 3, 0)])
def test_accuracy_is_the_share_of_what_was_written(correct, wrong, share):
    assert accuracy_of(Attempt(correct=correct, wrong=wrong)) == share


@pytest.mark.django_db
def test_summary_takes_skills_in_ladder_order_and_counts_done_rows_only():
    scene = make_class_scene()
    check = builders.make_check(scene.group, state="closed", closed_at=NOW)
    one, two, three = builders.make_pupils(scene.group, 3)
    builders.make_attempt(check, one, "sub-2d-regroup", correct=20)
    builders.make_attempt(check, two, "add-tens", correct=40)
    builders.make_attempt(check, three, "add-tens", status="absent")

    summary = check_summary(scene.viewer, check)

    assert [(line.skill, line.pupils, line.rate) for line in summary.skills] == [
        ("Add tens", 1, "20.0"),
        ("Subtract two-digit numbers, with regrouping", 1, "10.0"),
    ]
    assert (summary.done, summary.absent, summary.left) == (2, 1, 0)
