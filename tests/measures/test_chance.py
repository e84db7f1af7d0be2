import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tracker.measures.chance import chance_at_mark, rate_needed
from tracker.measures.noise import rate_variance
from tracker.measures.rules import Rules

RULES = Rules()


@given(st.floats(0, 100), st.lists(st.floats(0.5, 6), min_size=1, max_size=6), st.floats(1, 80))
def test_chance_is_the_normal_probability(mean, minutes, mark):
    variance = sum(rate_variance(mark, time) for time in minutes) / len(minutes) ** 2
    reference = stats.norm.cdf(mean, loc=mark, scale=variance**0.5)
    assert chance_at_mark(mean, minutes, mark, rules=RULES) == pytest.approx(reference, abs=1e-12)


@given(st.lists(st.floats(0.5, 6), min_size=1, max_size=6), st.floats(1, 80), st.floats(0.5, 0.99))
def test_rate_needed_gives_just_the_chance_asked_for(minutes, mark, chance):
    rules = Rules(chance_at_mark=chance)
    needed = rate_needed(minutes, mark, rules=rules)
    assert needed >= mark
    assert chance_at_mark(needed, minutes, mark, rules=rules) == pytest.approx(chance, abs=1e-9)


def test_longer_checks_need_less():
    assert rate_needed([4, 4, 4], 20) < rate_needed([2, 2, 2], 20) < rate_needed([1, 1, 1], 20)


def test_no_check_gives_no_chance():
    with pytest.raises(ValueError, match="at least one check"):
        chance_at_mark(20, [], 20, rules=RULES)
