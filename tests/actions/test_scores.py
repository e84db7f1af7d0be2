from datetime import date, timedelta

import pytest

from tests import builders as make
from tracker.actions.checks import PlannedRow, close_check, plan_check
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.scores import Typed, save_row
from tracker.actions.sheets import sheet_for
from tracker.models import Attempt, ChangeRecord, Conflict, SaveKey, Standing

ON = make.TODAY


@pytest.fixture
def school(db):
    return make.make_school()


@pytest.fixture
def teacher(school):
    return make.make_member(school, "teacher", "Mira Solberg")


@pytest.fixture
def group(school, teacher):
    return make.make_class(school, teacher=teacher)


@pytest.fixture
def by(teacher, school):
    return make.viewer(teacher, school)


@pytest.fixture
def pupil(group):
    return make.make_pupil(group)


def planned(group, pupil, by, key="sub-2d-regroup", **fields):
    check = plan_check(
        class_id=group.public_id, sat_on=ON, rows=[PlannedRow(pupil.public_id, key, **fields)], by=by, on=ON
    )
    return check, check.attempts.get()


def save(check, row, by, typed, *, key="k1", base=0, on=ON):
    return save_row(
        check_id=check.public_id,
        attempt_id=row.public_id,
        typed=typed,
        key=key,
        base_version=base,
        by=by,
        on=on,
    )


def test_saved_row_answers_rate_accuracy_stage_and_what_is_left(group, pupil, by):
    check, row = planned(group, pupil, by)
    make.make_attempt(check, make.make_pupil(group, "Ilse", "Marchetti"))

    result = save(check, row, by, Typed(correct=36, wrong=4, seconds=120))

    assert (result.state, result.version, result.rate, result.accuracy) == ("saved", 1, 18.0, 0.9)
    assert (result.stage, result.doubt, result.left) == ("few", None, 1)
    assert result.values == {
        "correct": 36, "wrong": 4, "omitted": None, "reached": None, "seconds": 120, "status": "done"
    }  # fmt: skip


def test_row_takes_the_time_of_its_sheet_when_none_was_typed(group, pupil, by):
    check, row = planned(group, pupil, by)

    result = save(check, row, by, Typed(correct=30, wrong=0))

    assert result.values["seconds"] == row.sheet.seconds
    assert result.rate == 30 * 60 / row.sheet.seconds


def test_row_planned_without_a_clock_stays_untimed(group, pupil, by):
    check, row = planned(group, pupil, by, timed=False)

    result = save(check, row, by, Typed(correct=30, wrong=2))

    assert (result.values["seconds"], result.rate, result.accuracy) == (None, None, 0.9375)


def test_last_item_reached_gives_the_three_counts(group, pupil, by):
    check, row = planned(group, pupil, by)
    running = list(row.sheet.items.order_by("number").values_list("running_digits", flat=True))

    result = save(check, row, by, Typed(reached=10, wrong=3, omitted=1, seconds=120))

    assert result.values["correct"] == running[9] - 4
    row.refresh_from_db()
    assert (row.typed_as, row.reached, row.wrong, row.omitted) == ("reached-wrong", 10, 3, 1)


@pytest.mark.parametrize(
    ("typed", "queries"),
    [(Typed(correct=30, wrong=2, seconds=120), 9), (Typed(reached=14, wrong=2, seconds=120), 10)],
    ids=["digits", "last-item"],
)
def test_saving_takes_few_statements(group, pupil, by, typed, queries, django_assert_num_queries):
    make.make_history(pupil, [(28, 2)] * 6)
    check, row = planned(group, pupil, by)

    # The savepoint of the test's own transaction adds two.
    with django_assert_num_queries(queries + 2):
        save(check, row, by, typed)
