import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from tracker.measures.intervals import NEWCOMBE, newcombe, wilson


@st.composite
def part_and_total(draw):
    total = draw(st.integers(1, 400))
    return draw(st.integers(0, total)), total


# Newcombe 1998, Statistics in Medicine 17:873-890, method 10 (MEMORY; statsmodels agrees below).
@pytest.mark.parametrize(
    ("first", "second", "low", "high"),
    [((56, 70), (48, 80), 0.0524, 0.3339), ((9, 10), (3, 10), 0.1705, 0.8090), ((10, 10), (0, 10), 0.6075, 1.0)],
)
def test_newcombe_has_the_published_values(first, second, low, high):
    found = newcombe(first, second)
    assert (round(found.low, 4), round(found.high, 4), found.method) == (low, high, NEWCOMBE)


@given(part_and_total(), part_and_total(), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_newcombe_equals_statsmodels(first, second, confidence):
    found = newcombe(first, second, confidence=confidence)
    reference = confint_proportions_2indep(*first, *second, method="newcomb", compare="diff", alpha=1 - confidence)
    assert (found.low, found.high) == pytest.approx(reference, abs=1e-9)


@given(part_and_total(), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_wilson_equals_statsmodels(share, confidence):
    reference = proportion_confint(*share, alpha=1 - confidence, method="wilson")
    assert wilson(*share, confidence=confidence) == pytest.approx(reference, abs=1e-9)


@given(part_and_total(), part_and_total(), st.floats(1.0, 5.0))
def test_newcombe_dispersion_widens_and_never_shifts(first, second, dispersion):
    plain, wide = newcombe(first, second), newcombe(first, second, dispersion=dispersion)
    assert wide.value == plain.value
    assert wide.low <= plain.low + 1e-12
    assert wide.high >= plain.high - 1e-12
    assert -1 - 1e-12 <= wide.low <= wide.value + 1e-12


@pytest.mark.parametrize(("right", "total"), [(0, 0), (-1, 5), (6, 5), (1, float("nan"))])
def test_wilson_refuses_what_is_no_share(right, total):
    with pytest.raises(ValueError, match="A share needs a total"):
        wilson(right, total)
