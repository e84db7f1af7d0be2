import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.observed import check, day, weekly
from tracker.measures.noise import Doubt, Expectation, doubt, expectation, rate_variance
from tracker.measures.rules import Rules
from tracker.measures.simulated_checks import World, simulate_counts


# Facts of the stall method, section 2 (simulated): residual SD 2.8 / 3.6 / 5.0 / 7.3 at levels 11 / 16 / 25 / 40,
# two minutes, with one form in 16 harder by 12-28 %.
@pytest.mark.parametrize(("level", "sd"), [(11, 2.8), (16, 3.6), (25, 5.0), (40, 7.3)])
def test_rate_variance_is_near_the_simulated_residuals(level, sd):
    assert math.sqrt(rate_variance(level, 2)) == pytest.approx(sd, rel=0.15)


@pytest.mark.parametrize("level", [5, 20, 60])
def test_rate_variance_without_dispersion_is_that_of_the_simulated_counts(level):
    correct, _ = simulate_counts(rate=level, minutes=2, checks=10, accuracy=1, pupils=20_000, seed=4)
    expected = rate_variance(level, 2, rules=Rules(dispersion=1))
    # the variance of 200,000 counts is known to about 1 %
    assert np.var(correct / 2) == pytest.approx(expected, rel=0.03)


@pytest.mark.parametrize(("level", "minutes"), [(10, 0), (10, -1), (-1, 1), (float("nan"), 1)])
def test_rate_variance_refuses_impossible_input(level, minutes):
    with pytest.raises(ValueError, match="minutes are above zero"):
        rate_variance(level, minutes)


def test_expectation_without_a_timed_check_is_none():
    assert expectation([], seconds=120) is None
    assert (
        expectation([check(1, seconds=None), check(2, status="stopped"), check(3, place="away")], seconds=120) is None
    )


def test_expectation_adds_up_its_four_parts():
    expected = expectation(weekly(40, 44, 42), seconds=120)
    rate = 21 + 0.5 * 2  # a week to the next check, and one more from the middle of the three
    one = 1.3 * (rate / 2 + (0.12**2 + 0.06**2) * rate**2)
    variance = one + one / 3 + (0.5 * 2) ** 2
    assert (expected.digits, expected.from_checks) == (44, 3)
    assert expected.sd == pytest.approx(2 * math.sqrt(variance))


def test_expectation_scales_with_the_time_of_the_next_check():
    by_two, by_one = (expectation(weekly(40, 40, 40), seconds=seconds) for seconds in (120, 60))
    assert by_one.digits == by_two.digits / 2
    assert by_one.sd > by_two.sd / 2  # fewer digits are relatively noisier


def test_expectation_is_less_sure_from_one_check_and_after_missed_weeks():
    three, one = expectation(weekly(40, 40, 40), seconds=120), expectation([check(3)], seconds=120)
    assert (three.from_checks, one.from_checks) == (3, 1)
    assert one.sd > three.sd
    soon, late = (expectation([check(3)], seconds=120, on=day(week)) for week in (5, 6))
    assert late.sd**2 - soon.sd**2 > (2 * Rules().missed_spread) ** 2


def test_expectation_uses_only_earlier_and_not_stale_checks():
    seen = weekly(40, 40, 90)
    assert expectation(seen, seconds=120, on=day(3)).from_checks == 2
    assert expectation(seen, seconds=120, on=day(40)) is None


def test_expectation_growth_stops_after_some_weeks():
    assert expectation([check(1)], seconds=120, on=day(12)).digits == 40 + 2 * 0.5 * 8


def test_expectation_from_nothing_right_still_has_a_spread():
    expected = expectation(weekly(0, 0, 0), seconds=60, rules=Rules(growth_per_week=0, growth_spread=0))
    assert (expected.digits, expected.sd > 1) == (0, True)


def test_expectation_refuses_no_time():
    with pytest.raises(ValueError, match="Seconds are above zero"):
        expectation(weekly(40), seconds=0)


@given(st.lists(st.integers(0, 120), min_size=1, max_size=8), st.randoms())
def test_expectation_whatever_the_order(digits, random):
    seen = weekly(*digits)
    shuffled = random.sample(seen, len(seen))
    assert expectation(shuffled, seconds=120) == expectation(seen, seconds=120)


USUAL = Expectation(40.0, 8.0, 3, wrong=1.0, wrong_sd=1.5)


@pytest.mark.parametrize(
    ("seen", "possible", "expected"),
    [
        (check(4, 40), 60, None),
        (check(4, 64), 60, Doubt("more-than-sheet", 60, 64)),
        (check(4, 50, omitted=12), 60, Doubt("more-than-sheet", 60, 62)),
        (check(4, 30, 61), 60, Doubt("more-than-sheet", 60, 61)),
        (check(4, 40, 25), 60, Doubt("more-wrong-than-usual", 1.0, 25)),
        (check(4, 4), 60, Doubt("unlike-last-checks", 40.0, 4)),
        (check(4, 65), None, Doubt("unlike-last-checks", 40.0, 65)),
        (check(4, 64), None, None),  # exactly three standard deviations
        (check(4, 16), None, None),
        (check(4, 5), 60, Doubt("unlike-last-checks", 40.0, 5)),
        (check(4, 4, status="stopped"), 60, None),  # a stopped check may well hold little
        (check(4, 4, seconds=None), 60, None),
    ],
)
def test_doubt(seen, possible, expected):
    assert doubt(seen, USUAL, possible=possible) == expected


def test_doubt_without_an_expectation_looks_at_the_sheet_alone():
    assert doubt(check(1, 64), None, possible=60).code == "more-than-sheet"
    assert doubt(check(1, 4), None, possible=60) is None


def test_doubt_with_the_counts_swapped():
    seen = weekly(44, 42, 46, wrong=2)
    swapped = check(4, 2, 45)
    assert doubt(swapped, expectation(seen, seconds=120), possible=60).code == "unlike-last-checks"


def test_doubt_with_a_digit_lost():
    seen = weekly(52, 55, 50)
    assert doubt(check(4, 5), expectation(seen, seconds=120), possible=80).code == "unlike-last-checks"


def test_doubt_takes_any_model_with_an_expectation():
    @dataclass
    class Other:
        digits: float = 30.0
        sd: float = 2.0
        from_checks: int = 20
        wrong: float | None = None
        wrong_sd: float | None = None

    assert doubt(check(4, 40, 30), Other(), possible=60) == Doubt("unlike-last-checks", 30.0, 40)
    assert doubt(check(4, 30, 30), Other(), possible=60) is None


def test_doubt_is_rare_among_honest_entries():
    """Fewer than 1 in 100 honest entries are asked about, in a world with hard forms too."""
    world = World(hard_forms=0.06)
    correct, wrong = simulate_counts(rate=20, minutes=2, checks=4, accuracy=0.97, pupils=1500, seed=8, world=world)
    asked = 0
    for right, errors in zip(correct.tolist(), wrong.tolist(), strict=True):
        seen = [check(week, right[week - 1], errors[week - 1]) for week in (1, 2, 3, 4)]
        asked += doubt(seen[3], expectation(seen[:3], seconds=120), possible=None) is not None
    assert asked / 1500 + 3 * math.sqrt(0.01 * 0.99 / 1500) < 0.02
