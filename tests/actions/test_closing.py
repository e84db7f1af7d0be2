from datetime import timedelta

import pytest

from tests import builders as make
from tracker.actions.checks import PlannedRow, close_check, close_overdue, plan_check
from tracker.actions.errors import OutOfScope
from tracker.models import Attempt, ChangeRecord, Check, Flag, MasteryEvent, Standing

ON = make.TODAY
GOOD, WEAK = (60, 0), (24, 16)  # 30 a minute and all right; 60 %


@pytest.fixture
def school(db):
    return make.make_school()


@pytest.fixture
def teacher(school):
    return make.make_member(school, "teacher")


@pytest.fixture
def group(school, teacher):
    return make.make_class(school, teacher=teacher)


@pytest.fixture
def by(teacher, school):
    return make.viewer(teacher, school)


def close(check, by, on=ON):
    return close_check(check_id=check.public_id, by=by, on=on)


def full_class(group, size):
    """Everything at once: some become secure, some have a regrouping gap, some are still due."""
    check = make.make_check(group)
    for number, pupil in enumerate(make.make_pupils(group, size)):
        scores = WEAK if number == 2 else GOOD
        make.make_history(pupil, [scores] * 8)
        make.make_history(pupil, [(60, 1)] * 3, "sub-2d-plain")
        counts = {} if number % 3 == 1 else {"correct": scores[0], "wrong": scores[1]}
        make.make_attempt(check, pupil, **counts)
    return check


@pytest.mark.parametrize("size", [3, 30])
def test_closing_takes_the_same_few_statements_whatever_the_class_size(group, by, size, django_assert_num_queries):
    check = full_class(group, size)

    # The savepoint of the test's own transaction adds two.
    with django_assert_num_queries(12 + 2):
        close(check, by)

    assert MasteryEvent.objects.filter(kind="secure").count() == size - 1
    assert MasteryEvent.objects.filter(kind="kept").count() == size - 1
    assert Flag.objects.filter(state="open").count() == 2
