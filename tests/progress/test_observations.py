from datetime import date

import pytest

from tests import builders as make
from tracker.models import Attempt
from tracker.progress.observations import observation_of, observations_from


def attempt(**fields):
    values = {"taken_on": date(2026, 9, 22), "status": "done", "correct": 26, "wrong": 4, "seconds": 120, **fields}
    return Attempt(**values)


def test_counts_go_over_as_they_are():
    seen = observation_of(attempt(omitted=2, regroup_correct=5, regroup_wrong=1, plain_correct=21, plain_wrong=3))

    assert (seen.correct, seen.wrong, seen.omitted, seen.rate) == (26, 4, 2, 13.0)
    assert (seen.regroup_correct, seen.regroup_wrong, seen.plain_correct, seen.plain_wrong) == (5, 1, 21, 3)


def test_empty_counts_are_none_written():
    seen = observation_of(attempt(status="absent", correct=None, wrong=None, seconds=None))

    assert (seen.correct, seen.wrong, seen.omitted, seen.rate, seen.accuracy) == (0, 0, 0, None, None)


@pytest.mark.parametrize(
    ("setting", "place"), [("class", "school"), ("small-group", "school"), ("home", "away"), ("remote", "away")]
)
def test_setting_says_whether_it_was_at_school(setting, place):
    assert observation_of(attempt(setting=setting)).place == place


def test_weeks_run_from_the_start_of_the_year_where_one_is_given():
    seen = observation_of(attempt(), year_start=make.YEAR_STARTS)

    assert seen.week == 3


def test_weeks_run_on_through_the_turn_of_a_year():
    before, after = (observation_of(attempt(taken_on=day)) for day in (date(2026, 12, 28), date(2027, 1, 4)))

    assert after.week == before.week + 1


def test_rows_still_due_are_left_out():
    rows = [attempt(), attempt(status="due", correct=None, wrong=None)]

    assert [seen.status for seen in observations_from(rows)] == ["done"]
