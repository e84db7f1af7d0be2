"""A right of one role does not reach as far as the eyes of another."""

import pytest

from tests import builders as make
from tracker.actions.checks import PlannedRow, plan_check
from tracker.actions.corrections import correct_row
from tracker.actions.errors import OutOfScope
from tracker.actions.flags import see_flag
from tracker.actions.scores import Typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def place():
    """A head who also teaches one class, and a pupil of another class with a flag and a closed check."""
    school = make.make_school()
    head = make.make_member(school, "head")
    make.join(head, school, "teacher")
    own, other = make.make_class(school, "Own", teacher=head), make.make_class(school, "Other")
    pupils = {group: make.make_pupil(group) for group in (own, other)}
    return make.viewer(head, school), pupils


@pytest.mark.parametrize("index", [0, 1], ids=["own class", "other class"])
def test_acting_reaches_own_class_only(place, index):
    viewer, pupils = place
    group, pupil = list(pupils.items())[index]
    flag = make.make_flag(pupil)
    attempt = make.make_history(pupil, [(30, 2)])[0]
    acts = [
        lambda: see_flag(flag_id=flag.public_id, by=viewer, on=make.TODAY),
        lambda: correct_row(
            check_id=attempt.check_sat.public_id,
            attempt_id=attempt.public_id,
            typed=Typed(correct=31, wrong=2),
            why="read again",
            base_version=attempt.version,
            by=viewer,
            on=make.TODAY,
        ),
        lambda: plan_check(
            class_id=group.public_id,
            sat_on=make.TODAY,
            rows=[PlannedRow(pupil.public_id, "sub-tens")],
            by=viewer,
            on=make.TODAY,
        ),
    ]

    refused = [refuses(act) for act in acts]

    assert refused == [index == 1] * 3


def refuses(act):
    try:
        act()
    except OutOfScope:
        return True
    return False
