from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.observed import MARK, check, day
from tracker.measures.keeping import kept
from tracker.measures.rules import Rules

SECURE_ON = day(4)
GOOD, SLOW, WRONG = 34, 31, 40


def ask(*observations, week, **other):
    return kept(observations, MARK, SECURE_ON, on=day(week), **other)


@pytest.mark.parametrize(
    ("observations", "week", "status"),
    [
        ([], 7, "waiting"),
        ([], 8, "due"),
        ([check(7, 10)], 7, "waiting"),  # too early to say anything
        ([check(7, 60)], 8, "due"),
        ([check(8, GOOD)], 8, "kept"),
        ([check(8, 32)], 8, "kept"),  # exactly 80 % of the rate
        ([check(8, SLOW)], 8, "check-again"),
        ([check(8, WRONG, 3)], 8, "check-again"),  # quick, but 40 of 43 right
        ([check(8, 0)], 8, "check-again"),  # nothing written
        ([check(8, SLOW), check(9, SLOW)], 9, "slipped"),
        ([check(8, SLOW), check(9, GOOD)], 9, "kept"),
        ([check(8, GOOD), check(9, SLOW)], 9, "check-again"),
        ([check(8, GOOD), check(9, SLOW), check(10, SLOW)], 10, "slipped"),
        ([check(8, SLOW), check(9, SLOW), check(12, GOOD)], 12, "kept"),
        ([check(8, SLOW), check(9, GOOD), check(10, SLOW)], 10, "check-again"),
        ([check(8, GOOD, place="away")], 8, "due"),
        ([check(8, SLOW, status="stopped")], 8, "due"),
        ([check(8, GOOD, seconds=None)], 8, "due"),  # untimed says nothing of the rate
        ([check(9, GOOD)], 8, "due"),  # not yet taken
    ],
)
def test_kept_status(observations, week, status):
    assert ask(*observations, week=week).status == status


def test_kept_gives_its_dates():
    answer = ask(check(8, GOOD), check(9, SLOW), check(10, SLOW), week=10)
    assert (answer.secure_on, answer.due_on, answer.kept_on) == (SECURE_ON, day(8), day(8))
    assert (answer.failed_on, answer.slipped_on) == ((day(9), day(10)), day(10))
    assert answer.as_dict() == {
        "status": "slipped", "secure_on": "2026-09-29", "due_on": "2026-10-27", "kept_on": "2026-10-27",
        "failed_on": ["2026-11-03", "2026-11-10"], "slipped_on": "2026-11-10",
    }  # fmt: skip


def test_kept_slipped_on_stays_the_second_failed_check():
    answer = ask(check(8, SLOW), check(9, SLOW), check(10, SLOW), week=10)
    assert (answer.slipped_on, len(answer.failed_on)) == (day(9), 3)


BREAK = (day(8) - timedelta(days=1), day(8) + timedelta(days=3))  # Monday to Friday of week 8


@pytest.mark.parametrize(
    ("observations", "week", "status"),
    [
        ([], 8, "waiting"),
        ([], 10, "waiting"),  # the Tuesday eleven days after the break
        ([], 11, "due"),
        ([check(9, SLOW), check(10, SLOW)], 10, "waiting"),
        ([check(9, SLOW), check(10, SLOW)], 11, "due"),
        ([check(10, SLOW), check(11, SLOW)], 11, "check-again"),
        ([check(11, SLOW), check(12, SLOW)], 12, "slipped"),
        ([check(9, GOOD)], 9, "kept"),  # a good check counts at any time
    ],
)
def test_kept_is_silent_for_two_weeks_after_a_break(observations, week, status):
    assert ask(*observations, week=week, breaks=[BREAK]).status == status


def test_kept_with_the_last_silent_day():
    last = BREAK[1] + timedelta(days=14)
    weak = [replace(check(10, SLOW), on=last), replace(check(11, SLOW), on=last + timedelta(days=1))]
    answer = kept(weak, MARK, SECURE_ON, on=day(12), breaks=[BREAK])
    assert answer.failed_on == (last + timedelta(days=1),)


def test_kept_untimed_goes_by_accuracy():
    untimed = [check(8, 20, 0, seconds=None)]
    assert ask(*untimed, week=8, timed=False).status == "kept"
    assert ask(check(8, 20, 5, seconds=None), week=8, timed=False).status == "check-again"
    assert ask(check(8, 0, 0, seconds=None), week=8, timed=False).status == "due"
    assert kept(untimed, replace(MARK, rate=None), SECURE_ON, on=day(8)).status == "kept"


def test_kept_after_other_days():
    assert ask(check(6, GOOD), week=6, rules=Rules(kept_after_days=14)).status == "kept"


@given(st.lists(st.integers(0, 60), max_size=10), st.integers(0, 60))
def test_one_failed_check_never_makes_slipped(digits, last):
    seen = [check(8 + number, count) for number, count in enumerate(digits)]
    answer = ask(*seen, week=30)
    assert (answer.status == "slipped") == (len(answer.failed_on) >= 2)
    assert (answer.slipped_on is not None) == (answer.status == "slipped")
    later = ask(*seen, check(8 + len(seen), last), week=30)
    # a date once earned is never taken away by a later score
    assert answer.kept_on is None or later.kept_on == answer.kept_on
