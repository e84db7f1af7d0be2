import math
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.observed import check, day, weekly
from tracker.measures.flags import (
    accuracy_stays_low,
    class_wide,
    may_rise_again,
    no_recent_check,
    regrouping_gap,
    suggest_untimed,
    writing_limits,
)
from tracker.measures.intervals import NEWCOMBE
from tracker.measures.rules import Rules

SKILL = weekly(20, 22, 18, wrong=20)
TWIN = weekly(46, 48, 47, wrong=2)


def test_regrouping_gap_gives_its_evidence():
    found = regrouping_gap(SKILL, TWIN, on=day(3))
    assert (found.skill_right, found.skill_total, found.twin_right, found.twin_total) == (60, 120, 141, 147)
    assert found.gap == pytest.approx(141 / 147 - 0.5)
    assert 0 < found.low < found.gap < found.high
    assert found.method == NEWCOMBE
    assert found.skill_dates == found.twin_dates == (day(1), day(2), day(3))


@pytest.mark.parametrize(
    ("skill", "twin", "week"),
    [
        ([], TWIN, 3),
        (SKILL, [], 3),
        (SKILL[:2], TWIN, 3),  # two checks are too few
        (weekly(40, 40, 40, wrong=20), weekly(78, 78, 78, wrong=22), 3),  # the twin is not in hand
        (weekly(35, 35, 35, wrong=12), TWIN, 3),  # 21 points apart
        (weekly(2, 1, 2, wrong=1), weekly(4, wrong=0), 3),  # far apart, but on next to nothing
        (SKILL, TWIN, 10),  # both too long ago
        (SKILL, weekly(46, 48, 47, wrong=2, first=8), 10),  # the skill itself too long ago
        ([replace(seen, place="away") for seen in SKILL], TWIN, 3),
        (SKILL, [replace(seen, mode="oral") for seen in TWIN], 3),
    ],
)
def test_regrouping_gap_is_silent(skill, twin, week):
    assert regrouping_gap(skill, twin, on=day(week)) is None


def test_regrouping_gap_at_the_edges():
    # exactly 85 % and exactly 25 points; wide enough in digits that the interval stays apart
    skill, twin = weekly(60, 60, 60, wrong=40), weekly(85, 85, 85, wrong=15)
    assert regrouping_gap(skill, twin, on=day(3)).gap == pytest.approx(0.25)
    assert regrouping_gap(weekly(60, 60, 61, wrong=40), twin, on=day(3)) is None
    assert regrouping_gap(skill, weekly(85, 85, 84, wrong=15), on=day(3)) is None


def test_regrouping_gap_takes_the_twin_of_six_weeks():
    late = weekly(20, 22, 18, wrong=20, first=7)
    assert regrouping_gap(late, TWIN, on=day(9)).twin_dates == (day(3),)
    assert regrouping_gap(late, TWIN, on=day(10)) is None
    # nothing after the day of asking
    assert regrouping_gap(SKILL, weekly(46, 48, first=4), on=day(3)) is None


def test_regrouping_gap_counts_taught_checks_only():
    assert regrouping_gap(SKILL, TWIN, on=day(3), taught_from=day(2)) is None
    assert regrouping_gap(SKILL, TWIN, on=day(3), taught_from=day(1)) is not None


def test_regrouping_gap_interval_takes_the_dispersion():
    loose = regrouping_gap(SKILL, TWIN, on=day(3))
    tight = regrouping_gap(SKILL, TWIN, on=day(3), rules=Rules(accuracy_dispersion=1))
    assert (loose.low < tight.low, loose.high > tight.high) == (True, True)


def test_regrouping_gap_is_rare_where_there_is_none():
    """Both skills at 92 %, twenty digits a check: the flag never comes more than once in a hundred."""
    random = np.random.default_rng(5)
    raised = 0
    for _ in range(1000):
        right = random.binomial(20, 0.92, size=6).tolist()
        seen = [check(1 + number % 3, count, 20 - count) for number, count in enumerate(right)]
        raised += regrouping_gap(seen[:3], seen[3:], on=day(3)) is not None
    assert raised <= 2


def test_accuracy_stays_low_has_the_worked_value():
    # worked by hand: 120 of 160; 0.75 + 1.64 x sqrt(1.6 x 0.75 x 0.25 / 160) = 0.82101
    found = accuracy_stays_low(weekly(*[30] * 8, wrong=10))
    assert (found.right, found.total, found.accuracy, found.before) == (120, 160, 0.75, 0.75)
    assert found.upper == pytest.approx(0.75 + 1.64 * math.sqrt(1.6 * 0.75 * 0.25 / 160))
    assert found.dates == (day(5), day(6), day(7), day(8))


@pytest.mark.parametrize(
    "observations",
    [
        [],
        weekly(*[30] * 7, wrong=10),  # not before the eighth check
        weekly(*[39] * 8, wrong=3),
        [*weekly(*[30] * 4, wrong=10), *weekly(*[31] * 4, wrong=9, first=5)],  # up by 2.5 points
        [*weekly(*[81] * 4, wrong=19), *weekly(*[83] * 4, wrong=17, first=5)],  # up by exactly two
        weekly(*[3] * 8, wrong=1),  # too few digits to be sure
        weekly(*[30] * 8, wrong=10, place="away"),
        weekly(*[30] * 8, wrong=10, mode="scribed"),
    ],
)
def test_accuracy_stays_low_is_silent(observations):
    assert accuracy_stays_low(observations) is None


def test_accuracy_stays_low_counts_stopped_and_untimed_checks():
    seen = weekly(*[30] * 8, wrong=10, seconds=None)
    assert accuracy_stays_low([*seen[:7], replace(seen[7], status="stopped")]).total == 160


def simulated_shares(accuracies, *, checks, seed):
    """Share of pupils flagged within so many weekly looks; digits of one check err together (beta-binomial)."""
    random = np.random.default_rng(seed)
    flagged = 0
    for accuracy in accuracies:
        steady = 60.0  # variance 1.6 times the binomial at about 36 digits
        shares = random.beta(accuracy * steady, (1 - accuracy) * steady, size=checks)
        right = random.binomial(36, shares).tolist()
        seen = [check(week, count, 36 - count) for week, count in enumerate(right, 1)]
        flagged += any(accuracy_stays_low(seen[:end]) for end in range(8, checks + 1))
    return flagged / len(accuracies)


def test_accuracy_stays_low_finds_those_it_is_for():
    # facts of the stall method, sections 6 and 9 (simulated): at least 75 % found by week 12, at most 5 % of the steady
    random = np.random.default_rng(1)
    low = simulated_shares(random.uniform(0.67, 0.83, size=300), checks=12, seed=2)
    steady = simulated_shares(random.uniform(0.93, 0.99, size=300), checks=36, seed=3)
    assert low - 2 * math.sqrt(low * (1 - low) / 300) >= 0.75
    assert steady <= 0.05


@pytest.mark.parametrize(("on", "weeks"), [(3, None), (4, 3), (9, 8)])
def test_no_recent_check_counts_school_weeks(on, weeks):
    found = no_recent_check(day(1), on=day(on))
    assert (found.weeks if found else None) == weeks


def test_no_recent_check_leaves_out_breaks():
    monday = day(3) - timedelta(days=1)
    breaks = [(monday, monday + timedelta(days=4))]
    assert no_recent_check(day(1), on=day(4), breaks=breaks) is None
    assert no_recent_check(day(1), on=day(5), breaks=breaks).as_dict() == {"last_on": "2026-09-08", "weeks": 3}


def test_no_recent_check_starts_when_the_skill_became_current():
    assert no_recent_check(None, on=day(9)) is None
    assert no_recent_check(None, on=day(9), current_since=day(6)).last_on == day(6)
    assert no_recent_check(day(1), on=day(9), current_since=day(8)) is None


@pytest.mark.parametrize(
    ("accuracies", "size", "below"),
    [
        ([0.7] * 6 + [0.95] * 6, None, None),  # half is not more than half
        ([0.7] * 7 + [0.95] * 6, None, 7),
        ([0.90] * 12, None, None),  # exactly at the gate is not below
        ([0.7] * 5, None, None),  # five are no class
        ([None] * 20 + [0.7] * 6, None, 6),
        ([None] * 20 + [0.7] * 6, 26, None),  # six of a class of twenty-six
        ([0.7] * 14, 26, 14),
        ([], None, None),
        ([], 26, None),
    ],
)
def test_class_wide(accuracies, size, below):
    found = class_wide(accuracies, class_size=size)
    assert (found.below if found else None) == below


@given(st.lists(st.floats(0, 1), max_size=30), st.randoms())
def test_class_wide_whatever_the_order(accuracies, random):
    assert class_wide(random.sample(accuracies, len(accuracies))) == class_wide(accuracies)


@pytest.mark.parametrize(("checks", "may"), [(7, False), (8, True)])
def test_may_rise_again_after_eight_new_checks(checks, may):
    seen = weekly(*[30] * (3 + checks))
    assert may_rise_again(day(3), seen) is may


def test_may_rise_again_counts_real_checks_only():
    assert may_rise_again(None, []) is True
    absent = [check(week, 0, status="absent", seconds=None) for week in range(4, 14)]
    assert may_rise_again(day(3), absent) is False


@pytest.mark.parametrize(
    ("rate", "copying", "limits"),
    [(40, 50, True), (39.9, 50, False), (24, 30, True), (None, 50, False), (40, None, False), (0, 0, False)],
)
def test_writing_limits_near_the_copying_speed(rate, copying, limits):
    assert writing_limits(rate, copying) is limits


def stopped(week):
    return check(week, 3, status="stopped", seconds=None)


@pytest.mark.parametrize(
    ("observations", "suggested"),
    [
        ([], False),
        ([stopped(1)], False),
        ([stopped(1), stopped(2)], True),
        ([stopped(1), check(2)], False),
        ([stopped(1), check(2), stopped(3)], False),
        ([stopped(1), check(2, 0, status="absent", seconds=None), stopped(3)], True),
    ],
)
def test_suggest_untimed_after_two_stopped(observations, suggested):
    assert suggest_untimed(observations) is suggested
