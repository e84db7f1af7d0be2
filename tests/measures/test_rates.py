import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures.rates import accuracy, digits_per_minute, errors_per_minute

COUNTS = st.integers(0, 400)


def test_rates_of_the_worked_checks():
    # Source: trade-rates (COMPUTED): 26 right and 4 wrong in 120 s; 45 right in 90 s; nothing written.
    assert (digits_per_minute(26, 120), errors_per_minute(4, 120)) == (13.0, 2.0)
    assert round(accuracy(26, 4), 4) == 0.8667
    assert digits_per_minute(45, 90) == 30.0
    assert digits_per_minute(0, 60) == 0.0
    assert np.isnan(accuracy(0, 0))


def test_scalars_give_floats():
    answers = [digits_per_minute(26, 120), errors_per_minute(4, 120), accuracy(26, 4), accuracy(0, 0)]

    assert [type(answer) for answer in answers] == [float] * 4


def test_arrays_keep_their_shape_and_gaps():
    rate = digits_per_minute([26, np.nan, 45], [120, 120, 90])

    np.testing.assert_array_equal(rate, [13.0, np.nan, 30.0])
    np.testing.assert_array_equal(accuracy([[3, 0], [0, 5]], [[1, 0], [2, 0]]), [[0.75, np.nan], [0.0, 1.0]])
    np.testing.assert_array_equal(errors_per_minute([1, 2], 60), [1.0, 2.0])


def test_untimed_check_has_no_rate():
    assert np.isnan(digits_per_minute(26, np.nan))


@pytest.mark.parametrize("seconds", [0, -5, [60, 0], [np.nan, -1]])
def test_seconds_of_zero_or_less_are_refused(seconds):
    with pytest.raises(ValueError, match="seconds must be greater than zero"):
        digits_per_minute(26, seconds)


@pytest.mark.parametrize(("function", "arguments"), [(digits_per_minute, (-1, 60)), (accuracy, (3, -2))])
def test_negative_counts_are_refused(function, arguments):
    with pytest.raises(ValueError, match="a count of digits can't be negative: -"):
        function(*arguments)


@given(COUNTS, st.integers(1, 900), st.integers(1, 9))
def test_rate_scales_with_time(digits, seconds, times):
    assert digits_per_minute(digits, seconds) == digits_per_minute(digits * times, seconds * times)


@given(COUNTS, COUNTS)
def test_accuracy_is_a_share(correct, wrong):
    share = accuracy(correct, wrong)

    assert np.isnan(share) if correct + wrong == 0 else 0 <= share <= 1
