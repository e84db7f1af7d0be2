"""Growth a week, of one series or a whole school: least squares with its error, Theil-Sen with its interval."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations, groupby
from math import fsum, isnan, nan, sqrt
from statistics import NormalDist, median
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracker.measures.rates import Floats
from tracker.measures.series import SeriesTable

# Pair slopes worked at a time: enough to keep numpy's calls cheap, few enough to stay in some 100 MB.
PAIRS_AT_A_TIME = 5_000_000


@dataclass(frozen=True)
class Line:
    """A straight line through one series, by least squares.

    Parameters
    ----------
    slope : float
        Growth; NaN with fewer than two different weeks. [value/week]
    intercept : float
        Value of the line at week 0. [value]
    slope_se : float
        Standard error of the slope; NaN with fewer than three checks. [value/week]
    residual_sd : float
        Spread of the checks about the line, with n - 2 in the denominator; NaN with fewer than three. [value]

    Raises
    ------
    Nothing.

    Source
    ------
    [christ-2006] [nist-norris]

    Examples
    --------
    >>> Line(0.5, 12.0, 0.1, 1.2).slope
    0.5
    """

    slope: float
    intercept: float
    slope_se: float
    residual_sd: float


@dataclass(frozen=True)
class MedianSlope:
    """The median of all slopes between two checks, with its interval.

    Parameters
    ----------
    slope : float
        Median slope; NaN with fewer than two different weeks. [value/week]
    low, high : float
        Ends of the interval. [value/week]

    Raises
    ------
    Nothing.

    Source
    ------
    [sen-1968]

    Examples
    --------
    >>> MedianSlope(0.5, 0.2, 0.9).low
    0.2
    """

    slope: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class GrowthTable:
    """Growth of many series.

    Parameters
    ----------
    series_id : ndarray, shape (s,)
        The series, as in the SeriesTable. [name]
    checks : ndarray of int64, shape (s,)
        Timed checks that were used. [checks]
    slope, intercept, slope_se, residual_sd : ndarray of float64, shape (s,)
        As in Line, of digits correct a minute. [1/min/week, 1/min]
    median_slope, low, high : ndarray of float64, shape (s,)
        As in MedianSlope, of digits correct a minute. [1/min/week]

    Raises
    ------
    Nothing.

    Source
    ------
    [batch-prototypes]

    Examples
    --------
    >>> grow_all(SeriesTable.from_columns(series_id=[], week=[], correct=[], wrong=[], seconds=[])).slope
    array([], dtype=float64)
    """

    series_id: NDArray[Any]
    checks: NDArray[np.int64]
    slope: Floats
    intercept: Floats
    slope_se: Floats
    residual_sd: Floats
    median_slope: Floats
    low: Floats
    high: Floats


def least_squares(weeks: Iterable[float], values: Iterable[float]) -> Line:
    """Fit a straight line through one series of checks.

    Parameters
    ----------
    weeks : iterable of float, length n
        When each check was. [week]
    values : iterable of float, length n
        What it gave, usually digits correct a minute; NaN is left out. [value]

    Returns
    -------
    Line
        Slope, intercept, standard error and spread; NaN where the checks don't allow them.

    Raises
    ------
    ValueError
        If there are more weeks than values or the other way round.

    Notes
    -----
    The standard error holds when checks differ from the line independently and equally much. With weekly checks it is
    residual_sd / sqrt(n (n^2 - 1) / 12).

    Source
    ------
    [nist-norris] [christ-2006] [parker-2012] [trade-slope-example]

    Examples
    --------
    >>> line = least_squares(range(1, 9), [12, 15, 13, 16, 18, 17, 20, 19])
    >>> round(line.slope, 6), round(line.slope_se, 6)
    (1.047619, 0.193185)
    """
    x, y = _points(weeks, values)
    if len(set(x)) < 2:
        return Line(nan, nan, nan, nan)
    n = len(x)
    mean_x, mean_y = fsum(x) / n, fsum(y) / n
    squares = fsum((a - mean_x) ** 2 for a in x)
    slope = fsum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True)) / squares
    misses = fsum((b - mean_y - slope * (a - mean_x)) ** 2 for a, b in zip(x, y, strict=True))
    residual_sd = sqrt(misses / (n - 2)) if n > 2 else nan
    return Line(slope, mean_y - slope * mean_x, residual_sd / sqrt(squares), residual_sd)


def theil_sen(weeks: Iterable[float], values: Iterable[float], *, confidence: float = 0.95) -> MedianSlope:
    """Take the median of the slopes between every two checks, which a few odd checks hardly move.

    Parameters
    ----------
    weeks : iterable of float, length n
        When each check was. [week]
    values : iterable of float, length n
        What it gave; NaN is left out. [value]
    confidence : float
        Confidence of the interval, from 0.5 to below 1. [share]

    Returns
    -------
    MedianSlope
        Slope and interval; NaN where the checks don't allow them.

    Raises
    ------
    ValueError
        If there are more weeks than values or the other way round, or the confidence is out of range.

    Notes
    -----
    The interval counts slopes by the normal approximation to Kendall's S, with ties. With fewer than five checks no
    interval can hold 95 %; what comes back is then the widest there is, so don't show it.

    Source
    ------
    [sen-1968] [siegel-1982]

    Examples
    --------
    >>> theil_sen([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], confidence=0.93)
    MedianSlope(slope=4.0, low=3.7142857142857144, high=4.375)
    """
    z = _quantile(confidence)
    x, y = _points(weeks, values)
    pairs = combinations(sorted(zip(x, y, strict=True)), 2)
    slopes = sorted((y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in pairs if x2 > x1)
    if not slopes:
        return MedianSlope(nan, nan, nan)
    n = len(x)
    variance = (n * (n - 1) * (2 * n + 5) - _tied(x) - _tied(y)) / 18
    if variance < 0:
        return MedianSlope(median(slopes), nan, nan)
    reach = z * sqrt(variance)
    low = max(round((len(slopes) - reach) / 2) - 1, 0)
    high = min(round((len(slopes) + reach) / 2), len(slopes) - 1)
    return MedianSlope(median(slopes), slopes[low], slopes[high])


def grow_all(series: SeriesTable, *, confidence: float = 0.95) -> GrowthTable:
    """Work out the growth of every series at once.

    Parameters
    ----------
    series : SeriesTable
        The checks; untimed ones are left out.
    confidence : float
        Confidence of the Theil-Sen interval, from 0.5 to below 1. [share]

    Returns
    -------
    GrowthTable
        One entry a series. Least squares as least_squares gives it; Theil-Sen within 0.000015 of theil_sen, since
        slopes are sorted in single precision.

    Raises
    ------
    ValueError
        If the confidence is out of range.

    Source
    ------
    [batch-prototypes] [sen-1968]

    Examples
    --------
    >>> table = SeriesTable.from_columns(
    ...     series_id=[1, 1, 1], week=[1, 2, 3], correct=[20, 22, 24], wrong=[0, 0, 0], seconds=[60, 60, 60]
    ... )
    >>> grow_all(table).slope
    array([2.])
    """
    z = _quantile(confidence)
    used = ~np.isnan(series.rate)
    offsets = np.r_[0, np.cumsum(used)][series.offsets]
    week, rate = series.week[used], series.rate[used]
    lines = _lines(offsets, week, rate)
    median_slope, low, high = (np.full(len(series), np.nan) for _ in range(3))
    for rows, weeks, rates in _blocks(offsets, week, rate):
        median_slope[rows], low[rows], high[rows] = _median_slopes(weeks, rates, z)
    return GrowthTable(series.series_id, np.diff(offsets), *lines, median_slope, low, high)


def _points(weeks: Iterable[float], values: Iterable[float]) -> tuple[list[float], list[float]]:
    pairs = [(float(x), float(y)) for x, y in zip(weeks, values, strict=True)]
    kept = [(x, y) for x, y in pairs if not isnan(x) and not isnan(y)]
    return [x for x, _ in kept], [y for _, y in kept]


def _quantile(confidence: float) -> float:
    if not 0.5 <= confidence < 1:
        raise ValueError(f"confidence must be from 0.5 to below 1, not {confidence}")
    return NormalDist().inv_cdf((1 + confidence) / 2)


def _tied(values: list[float]) -> int:
    sizes = (len(list(run)) for _, run in groupby(sorted(values)))
    return sum(size * (size - 1) * (2 * size + 5) for size in sizes)


def _lines(offsets: NDArray[np.int64], week: Floats, rate: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    sizes = np.diff(offsets)
    some = sizes > 0
    n = np.where(some, sizes, 1)

    def total(column: Floats) -> Floats:
        sums = np.zeros(len(sizes))
        if column.size:
            sums[some] = np.add.reduceat(column, offsets[:-1][some])
        return sums

    mean_x, mean_y = total(week) / n, total(rate) / n
    x, y = week - np.repeat(mean_x, sizes), rate - np.repeat(mean_y, sizes)
    squares = total(x * x)
    # Equal weeks leave only the rounding of their mean behind.
    squares[squares <= n * (1e-12 * np.maximum(1, np.abs(mean_x))) ** 2] = np.nan
    slope = total(x * y) / squares
    misses = total((y - np.repeat(slope, sizes) * x) ** 2)
    freedom = np.where(n > 2, n - 2.0, np.nan)
    residual_sd = np.sqrt(misses / freedom)
    residual_sd[np.isnan(squares)] = np.nan
    return slope, mean_y - slope * mean_x, residual_sd / np.sqrt(squares), residual_sd


def _blocks(
    offsets: NDArray[np.int64], week: Floats, rate: Floats
) -> Iterator[tuple[NDArray[np.int64], Floats, Floats]]:
    """Series of equal length together, in blocks with time running down: shape (length, series)."""
    sizes = np.diff(offsets)
    for length in np.unique(sizes[sizes > 1]):
        members = np.flatnonzero(sizes == length)
        step = max(1, PAIRS_AT_A_TIME * 2 // int(length * (length - 1)))
        for first in range(0, len(members), step):
            rows = members[first : first + step]
            index = offsets[rows] + np.arange(length)[:, None]
            yield rows, week[index], rate[index]


def _median_slopes(week: Floats, rate: Floats, z: float) -> tuple[Floats, Floats, Floats]:
    length, width = week.shape
    x, y = (np.asarray(part - part[0], dtype=np.float32) for part in (week, rate))
    slopes = np.empty((length * (length - 1) // 2, width), dtype=np.float32)
    done = 0
    for lag in range(1, length):
        rows = slice(done, done + length - lag)
        apart = x[lag:] - x[:-lag]
        apart[apart == 0] = np.nan
        np.divide(y[lag:] - y[:-lag], apart, out=slopes[rows])
        done = rows.stop
    ordered = np.ascontiguousarray(slopes.T)
    ordered.sort(axis=1)
    return _from_sorted(ordered, _kendall_variance(week, rate), z)


def _from_sorted(ordered: NDArray[np.float32], variance: Floats, z: float) -> tuple[Floats, Floats, Floats]:
    pairs = ordered.shape[1] - np.count_nonzero(np.isnan(ordered), axis=1)
    last = np.maximum(pairs - 1, 0)
    reach = z * np.sqrt(np.maximum(variance, 0))
    low = np.maximum(np.round((pairs - reach) / 2).astype(np.int64) - 1, 0)
    high = np.minimum(np.round((pairs + reach) / 2).astype(np.int64), last)
    ranks = np.stack([last // 2, (last + 1) // 2, low, high], axis=1)
    picked = np.take_along_axis(ordered, ranks, axis=1).astype(np.float64)
    picked[variance < 0, 2:] = np.nan
    return (picked[:, 0] + picked[:, 1]) / 2, picked[:, 2], picked[:, 3]


def _kendall_variance(week: Floats, rate: Floats) -> Floats:
    n = len(week)
    return np.asarray((n * (n - 1) * (2 * n + 5) - _ties(week) - _ties(np.sort(rate, axis=0))) / 18)


def _ties(ordered: Floats) -> NDArray[np.int64]:
    """Sum of k (k - 1) (2 k + 5) over runs of k equal values, by counting equal pairs lag by lag."""
    tied = np.zeros(ordered.shape[1], dtype=np.int64)
    for lag in range(1, len(ordered)):
        equal = np.count_nonzero(ordered[lag:] == ordered[:-lag], axis=0)
        if not equal.any():
            break
        tied += (12 * lag + 6) * equal
    return tied
