"""Many series of checks in flat columns, one after another, for whole-school arithmetic."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tracker.measures.rates import Floats, digits_per_minute


@dataclass(frozen=True, eq=False)
class SeriesTable:
    """Checks of many series: flat columns sorted by series and week, and where each series begins.

    Parameters
    ----------
    series_id : ndarray, shape (s,)
        Each series once, rising. [name]
    offsets : ndarray of int64, shape (s + 1,)
        Rows offsets[i] to offsets[i + 1] - 1 belong to series i. [row]
    week : ndarray of float64, shape (n,)
        Calendar weeks from the start of the school year. [week]
    correct, wrong : ndarray of float64, shape (n,)
        Digits correct and digits wrong; NaN where there was no count. [digits]
    seconds : ndarray of float64, shape (n,)
        Working time; NaN when untimed. [s]

    Raises
    ------
    Nothing.

    Source
    ------
    [batch-prototypes]

    Examples
    --------
    >>> table = SeriesTable.from_columns(
    ...     series_id=[7, 3, 7], week=[2, 1, 1], correct=[30, 12, 26], wrong=[1, 0, 2], seconds=[120, 60, 120]
    ... )
    >>> table.series_id, table.offsets, table.week
    (array([3, 7]), array([0, 1, 3]), array([1., 1., 2.]))
    """

    series_id: NDArray[Any]
    offsets: NDArray[np.int64]
    week: Floats
    correct: Floats
    wrong: Floats
    seconds: Floats

    @classmethod
    def from_columns(
        cls, *, series_id: ArrayLike, week: ArrayLike, correct: ArrayLike, wrong: ArrayLike, seconds: ArrayLike
    ) -> "SeriesTable":
        """Sort the checks of many series into a table; every argument has shape (n,), in any order of rows.

        Checks of one series in the same week keep the order in which they came. Raises ValueError when the columns
        differ in length, a week is not a number, a count is negative, or seconds are zero or less.
        """
        ids = np.asarray(series_id)
        columns = [np.asarray(column, dtype=np.float64) for column in (week, correct, wrong, seconds)]
        _refuse_bad(ids, columns)
        order = np.lexsort((columns[0], ids))
        ids = ids[order]
        starts = np.flatnonzero(np.r_[True, ids[1:] != ids[:-1]]) if ids.size else np.zeros(0, dtype=np.int64)
        offsets = np.append(starts, ids.size).astype(np.int64)
        return cls(*(_fixed(part) for part in (ids[starts], offsets, *(column[order] for column in columns))))

    @cached_property
    def rate(self) -> Floats:
        """Digits correct a minute of each check [1/min], shape (n,); NaN when untimed."""
        return _fixed(np.atleast_1d(digits_per_minute(self.correct, self.seconds)))

    @property
    def lengths(self) -> NDArray[np.int64]:
        """Number of checks in each series, shape (s,)."""
        return np.diff(self.offsets)

    def __len__(self) -> int:
        """How many series there are."""
        return len(self.series_id)


def _refuse_bad(ids: NDArray[Any], columns: list[Floats]) -> None:
    week, correct, wrong, seconds = columns
    sizes = [column.shape for column in (ids, *columns)]
    if ids.ndim != 1 or len(set(sizes)) > 1:
        raise ValueError(f"columns must be flat and of one length, not of shapes {sizes}")
    if not np.all(np.isfinite(week)):
        raise ValueError("every check needs a week")
    if np.any(correct < 0) or np.any(wrong < 0):
        raise ValueError("a count of digits can't be negative")
    if np.any(seconds <= 0):
        raise ValueError("seconds must be greater than zero, or NaN when untimed")


def _fixed(column: NDArray[Any]) -> NDArray[Any]:
    column.flags.writeable = False
    return column
