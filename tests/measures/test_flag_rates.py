import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from tests.measures.observed import START
from tracker.measures.flag_rates import (
    ACCURACIES,
    MEASURED,
    RATES,
    RULES_USED,
    TOGETHER,
    WEEKS,
    accuracy_low_weeks,
    flag_rates,
    regrouping_gap_weeks,
    rises,
    steady_counts,
)
from tracker.measures.flags import accuracy_stays_low, may_rise_again, regrouping_gap
from tracker.measures.observations import Observation
from tracker.measures.rules import MEASURES_VERSION, Rules

PUPILS = 1500


def day(week: int) -> date:
    return START + timedelta(weeks=week)


def observed(counts, row):
    pairs = zip(counts[0][row].tolist(), counts[1][row].tolist(), strict=True)
    return [Observation(day(week), week + 1, right, wrong, 0, 120) for week, (right, wrong) in enumerate(pairs)]


def margin(mean: float, series: int) -> float:
    """Three standard errors of a mean of rare counts, as of a binomial share."""
    return 3 * math.sqrt(mean * (1 - mean) / series)


def test_measured_shares_come_back_from_another_seed():
    again = flag_rates(pupils=PUPILS, seed=7)

    assert again.series == PUPILS * len(ACCURACIES) * len(RATES)
    assert abs(again.accuracy_low - MEASURED.accuracy_low) <= margin(MEASURED.accuracy_low, again.series)
    at_gate = margin(MEASURED.accuracy_low_at_gate, PUPILS * len(RATES))
    assert abs(again.accuracy_low_at_gate - MEASURED.accuracy_low_at_gate) <= at_gate
    assert abs(again.regrouping_gap - MEASURED.regrouping_gap) <= margin(MEASURED.regrouping_gap, again.series)


def test_measured_shares_belong_to_this_version_of_the_measures():
    assert MEASURED.version == MEASURES_VERSION
    assert set(Rules().as_mapping()) >= RULES_USED


def test_a_looser_rule_raises_more_flags():
    strict, loose = (
        flag_rates(pupils=200, seed=3, rules=Rules(low_accuracy=limit, gap_points=points))
        for limit, points in ((0.85, 0.25), (0.95, 0.05))
    )
    assert strict.accuracy_low < loose.accuracy_low
    assert strict.regrouping_gap < loose.regrouping_gap


@pytest.mark.parametrize("rules", [Rules(), Rules(low_accuracy_from=10, low_accuracy_checks=3, low_accuracy=0.92)])
def test_accuracy_by_arrays_equals_the_rule_of_the_product(rules):
    counts = steady_counts(rate=20, accuracy=0.88, pupils=25, seed=5)
    fast = accuracy_low_weeks(*counts, rules=rules)
    for row in range(25):
        seen = observed(counts, row)
        slow = [accuracy_stays_low(seen[: week + 1], rules=rules) is not None for week in range(WEEKS)]
        assert fast[row].tolist() == slow
    assert 0 < fast.sum() < fast.size


@pytest.mark.parametrize("rules", [Rules(), Rules(gap_points=0.1, gap_confidence=0.8, gap_twin_days=21)])
def test_gap_by_arrays_equals_the_rule_of_the_product(rules):
    skill = steady_counts(rate=15, accuracy=0.68, pupils=20, seed=6)
    twin = steady_counts(rate=15, accuracy=0.92, pupils=20, seed=7)
    fast = regrouping_gap_weeks(skill, twin, rules=rules)
    for row in range(20):
        own, other = observed(skill, row), observed(twin, row)
        slow = [
            regrouping_gap(own[: week + 1], other[: week + 1], on=day(week), rules=rules) is not None
            for week in range(WEEKS)
        ]
        assert fast[row].tolist() == slow
    assert 0 < fast.sum() < fast.size


def test_rises_equal_the_rule_of_the_product():
    met = np.random.default_rng(4).random((40, WEEKS)) < 0.3
    for row, count in zip(met, rises(met), strict=True):
        seen = observed((np.full((1, WEEKS), 30), np.full((1, WEEKS), 5)), 0)
        raised, flags = None, 0
        for week in range(WEEKS):
            if row[week] and may_rise_again(raised, seen[: week + 1]):
                raised, flags = day(week), flags + 1
        assert count == flags
    assert rises(met).max() > 1


def test_steady_counts_have_the_mean_and_the_spread_asked_for():
    correct, wrong = steady_counts(rate=20, accuracy=0.9, pupils=8000, seed=2)
    written = correct + wrong
    assert correct.sum() / written.sum() == pytest.approx(0.9, abs=0.001)
    assert correct.mean() == pytest.approx(40, rel=0.005)
    # digits of one check err together: the variance of a share is 1 + (n - 1) x TOGETHER times the binomial one
    expected = 0.9 * 0.1 / written * (1 + (written - 1) * TOGETHER)
    assert ((correct / written - 0.9) ** 2 / expected).mean() == pytest.approx(1, abs=0.02)


@pytest.mark.parametrize("accuracy", [0, 1, 1.2])
def test_steady_counts_refuse_what_lies_not_between(accuracy):
    with pytest.raises(ValueError, match="between 0 and 1"):
        steady_counts(rate=20, accuracy=accuracy, pupils=2, seed=1)


def test_rates_follow_their_seed():
    assert flag_rates(pupils=20, seed=1) == flag_rates(pupils=20, seed=1)
    assert flag_rates(pupils=20, seed=1) != replace(flag_rates(pupils=20, seed=2), seed=1)
