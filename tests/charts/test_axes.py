from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tests.charts.charts_to_draw import chart, point
from tracker.charts.axes import nice_step, value_axis, week_ticks
from tracker.charts.description import Step


@given(rate=st.floats(0, 2000), wrong=st.floats(0, 2000), mark=st.floats(0, 2000))
def test_everything_fits_with_few_round_ticks(rate, wrong, mark):
    axis = value_axis(chart(point(1, rate, wrong), mark=(Step(1, mark),)))

    assert axis.low <= -wrong
    assert max(rate, mark) <= axis.high
    assert 0 in axis.ticks
    assert 2 <= len(axis.ticks) <= 8
    assert axis.low <= axis.ticks[0]
    assert axis.ticks[-1] <= axis.high


def test_accuracy_always_runs_from_0_to_100():
    assert value_axis(chart(point(1), measure="accuracy")).ticks == (0, 20, 40, 60, 80, 100)


@given(st.floats(0, 1e6))
def test_a_nice_step_is_large_enough_and_not_wasteful(least):
    assert max(least, 1) * (1 - 1e-6) <= nice_step(least) <= max(least, 1) * 2.5 * (1 + 1e-6)


@given(first=st.integers(1, 53), count=st.integers(0, 52), length=st.floats(150, 900))
def test_both_ends_are_numbered_and_numbers_keep_their_room(first, count, length):
    ticks = week_ticks(first, first + count, length=length, room=30)

    assert (ticks[0], ticks[-1]) == (first, first + count)
    weeks = [b - a for a, b in pairwise(ticks)]
    assert all(gap * length / max(count, 1) >= 30 for gap in weeks)
