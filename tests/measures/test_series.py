import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures.series import SeriesTable

ROWS = st.lists(
    st.tuples(st.integers(1, 5), st.integers(0, 6), st.integers(0, 90), st.integers(0, 9), st.integers(1, 300))
)


def table_of(rows):
    columns = list(zip(*rows, strict=True)) or [()] * 5
    names = ("series_id", "week", "correct", "wrong", "seconds")
    return SeriesTable.from_columns(**dict(zip(names, columns, strict=True)))


def rows_of(table):
    ids = np.repeat(table.series_id, table.lengths)
    return list(zip(ids, table.week, table.correct, table.wrong, table.seconds, strict=True))


def test_series_are_sorted_by_series_then_week():
    table = table_of([(9, 2, 30, 1, 120), (4, 5, 12, 0, 60), (9, 1, 26, 2, 120), (4, 3, 10, 0, 60)])

    assert rows_of(table) == [(4, 3, 10, 0, 60), (4, 5, 12, 0, 60), (9, 1, 26, 2, 120), (9, 2, 30, 1, 120)]
    assert (table.series_id.tolist(), table.offsets.tolist(), len(table)) == ([4, 9], [0, 2, 4], 2)
    assert table.rate.tolist() == [10, 12, 13, 15]


@given(ROWS)
def test_series_keep_every_row(rows):
    table = table_of(rows)

    assert rows_of(table) == sorted(rows, key=lambda row: row[:2])
    assert table.lengths.sum() == len(rows)


def test_series_without_rows():
    table = table_of([])

    assert (len(table), table.offsets.tolist(), table.rate.tolist()) == (0, [0], [])


def test_series_may_be_named_by_words():
    table = table_of([("b", 1, 3, 0, 60), ("a", 1, 4, 0, 60)])

    assert table.series_id.tolist() == ["a", "b"]


def test_untimed_check_keeps_its_counts_without_a_rate():
    table = table_of([(1, 1, 20, 1, float("nan"))])

    assert table.correct.tolist() == [20]
    assert np.isnan(table.rate).tolist() == [True]


def test_columns_cannot_be_changed():
    table = table_of([(1, 1, 20, 1, 60)])

    for column in (table.series_id, table.offsets, table.week, table.correct, table.wrong, table.seconds, table.rate):
        with pytest.raises(ValueError, match="read-only"):
            column[0] = 7


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ((1, 1, 20, 1, 0), "seconds must be greater than zero, or NaN when untimed"),
        ((1, 1, -1, 1, 60), "a count of digits can't be negative"),
        ((1, 1, 1, -1, 60), "a count of digits can't be negative"),
        ((1, float("nan"), 1, 1, 60), "every check needs a week"),
    ],
)
def test_bad_rows_are_refused(row, message):
    with pytest.raises(ValueError, match=message):
        table_of([row])


def test_columns_of_different_lengths_are_refused():
    with pytest.raises(ValueError, match="columns must be flat and of one length"):
        SeriesTable.from_columns(series_id=[1, 1], week=[1], correct=[1], wrong=[1], seconds=[1])
