"""What a whole class needs taught: more than half of at least six below the gate of 90 % (DESIGN's own rule)."""

import pytest

from tracker.measures import ladder
from tracker.measures.rules import Rules
from tracker.models import Flag, School, Skill
from tracker.progress.class_needs import ClassNeed, class_needs, own_flags
from tracker.queries.standings import Stand, Step

KEY = "sub-2d-regroup"


def stands(*shares, key=KEY, checks=4):
    step = Step(key, "skill", ladder.step(key).order)
    return [Stand(n, step, "learning", checks, None, None, share, share, None) for n, share in enumerate(shares)]


def needs(rows, size, rules=None):
    return [(need.skill_key, need.below, need.pupils) for need in class_needs(
        rows, School(), class_size=size, rules=rules or Rules()
    )]  # fmt: skip


@pytest.mark.parametrize(
    ("low", "size", "found"),
    [(4, 6, [(KEY, 4, 6)]), (3, 6, []), (5, 5, []), (15, 28, [(KEY, 15, 28)]), (14, 28, [])],
)
def test_need_is_said_when_more_than_half_of_a_class_is_below(low, size, found):
    assert needs(stands(*[0.7] * low, *[0.97] * (size - low)), size) == found


def test_need_counts_nobody_with_too_few_checks():
    assert needs(stands(*[0.7] * 6, checks=2), 6) == []
    assert needs(stands(*[0.7] * 6, checks=3), 6) == [(KEY, 6, 6)]


def test_need_takes_the_gate_of_the_school():
    assert needs(stands(*[0.92] * 6), 6) == []
    assert needs(stands(*[0.92] * 6), 6, Rules(accuracy_gate=0.95)) == [(KEY, 6, 6)]


def test_needs_stand_in_ladder_order():
    rows = [*stands(*[0.7] * 6), *stands(*[0.6] * 6, key="add-tens")]

    assert [key for key, _, _ in needs(rows, 6)] == ["add-tens", KEY]


def test_flags_that_rest_on_scores_give_way_to_the_lesson_for_all():
    covered, other = Skill(key=KEY), Skill(key="add-tens")
    flags = [Flag(kind=kind, skill=skill) for skill in (covered, other) for kind in ("accuracy-low", "no-recent-check")]

    kept = own_flags(flags, [ClassNeed("", KEY, 5, 6)])

    assert [(flag.skill.key, flag.kind) for flag in kept] == [
        (KEY, "no-recent-check"),
        ("add-tens", "accuracy-low"),
        ("add-tens", "no-recent-check"),
    ]
