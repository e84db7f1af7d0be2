"""Time until a skill becomes secure, with the pupils who are not there yet counted honestly (Kaplan-Meier)."""

from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tracker.measures.rates import Floats

# S is a product of fractions: 0.5 may come out a hair above.
HAIR = 1e-12


@dataclass(frozen=True, eq=False)
class SurvivalCurve:
    """Share of pupils not yet there, after each time at which somebody got there.

    Parameters
    ----------
    times : ndarray of float64, shape (k,)
        Times at which at least one pupil got there. [time]
    at_risk : ndarray of int64, shape (k,)
        Pupils watched and not there just before. [pupils]
    events : ndarray of int64, shape (k,)
        Pupils who got there at that time. [pupils]
    survival : ndarray of float64, shape (k,)
        Share not yet there after it. [share]
    se : ndarray of float64, shape (k,)
        Greenwood's standard error; NaN where the share is 0. [share]
    low, high : ndarray of float64, shape (k,)
        Ends of the log-log interval; NaN where the share is 0. [share]

    Raises
    ------
    Nothing.

    Source
    ------
    [kaplan-meier-1958] [greenwood-1926]

    Examples
    --------
    >>> kaplan_meier([2, 3, 3, 5], [True, True, False, False]).survival
    array([0.75, 0.5 ])
    """

    times: Floats
    at_risk: NDArray[np.int64]
    events: NDArray[np.int64]
    survival: Floats
    se: Floats
    low: Floats
    high: Floats

    @property
    def median(self) -> float | None:
        """First time at which half or fewer are not yet there; None if that never happens."""
        return self.time_reached(0.5)

    @property
    def median_interval(self) -> tuple[float | None, float | None]:
        """First times at which the lower and the upper end of the interval fall to one half; None: never."""
        return _first(self.times, self.low <= 0.5 + HAIR), _first(self.times, self.high <= 0.5 + HAIR)

    def time_reached(self, share: float) -> float | None:
        """First time by which this share of pupils got there; None if that never happens."""
        if not 0 < share < 1:
            raise ValueError(f"the share must lie between 0 and 1, not {share}")
        return _first(self.times, self.survival <= 1 - share + HAIR)


def kaplan_meier(
    durations: ArrayLike, reached: ArrayLike, *, entry: ArrayLike | None = None, confidence: float = 0.95
) -> SurvivalCurve:
    """Estimate how long pupils take, when some are still on their way.

    Parameters
    ----------
    durations : array_like of float, shape (n,)
        Time until the pupil got there or was last seen, zero or more. [time]
    reached : array_like of bool, shape (n,)
        Whether the pupil got there; otherwise the time is only a lower bound.
    entry : array_like of float, shape (n,), optional
        When watching began, where it began late; before its duration. The pupil counts at times after it. [time]
    confidence : float
        Confidence of the interval, between 0 and 1. [share]

    Returns
    -------
    SurvivalCurve
        The curve at the times at which somebody got there, with its median.

    Raises
    ------
    ValueError
        If lengths differ, a time is missing or negative, an entry is not before its duration, reached holds anything
        but true and false, or the confidence is out of range.

    Notes
    -----
    A pupil last seen at a time still counts as not there at that time. The interval is the log-log one (statsmodels and
    lifelines use it; another common one is the log interval: don't mix them). With late entry few pupils count early
    on, and one event among one pupil sends the curve to 0 for good: show it only from where enough are watched.

    Source
    ------
    [kaplan-meier-1958] [greenwood-1926] [freireich-1963]

    Examples
    --------
    >>> curve = kaplan_meier([6, 6, 6, 6, 7, 9, 10], [1, 1, 1, 0, 1, 0, 1])
    >>> curve.times, curve.at_risk, curve.events
    (array([ 6.,  7., 10.]), array([7, 3, 1]), array([3, 1, 1]))
    >>> curve.median
    7.0
    """
    time, got_there, start = _checked(durations, reached, entry)
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must lie between 0 and 1, not {confidence}")
    times, events = np.unique(time[got_there], return_counts=True)
    left = np.searchsorted(np.sort(time), times, side="left")
    entered = len(time) if start is None else np.searchsorted(np.sort(start), times, side="left")
    at_risk = np.asarray(entered - left)
    return _curve(times, at_risk, events, z=NormalDist().inv_cdf((1 + confidence) / 2))


def kaplan_meier_by_group(
    group: ArrayLike,
    durations: ArrayLike,
    reached: ArrayLike,
    *,
    entry: ArrayLike | None = None,
    confidence: float = 0.95,
) -> dict[Any, SurvivalCurve]:
    """Estimate a curve for every group, for example for every skill and grade.

    Parameters
    ----------
    group : array_like, shape (n,)
        The group of each pupil.
    durations, reached, entry, confidence
        As in kaplan_meier.

    Returns
    -------
    dict
        Group to SurvivalCurve, groups in rising order.

    Raises
    ------
    ValueError
        As in kaplan_meier, and if group has another length.

    Source
    ------
    [kaplan-meier-1958]

    Examples
    --------
    >>> curves = kaplan_meier_by_group(["b", "a", "b"], [4, 3, 6], [True, True, False])
    >>> {name: curve.median for name, curve in curves.items()}
    {'a': 3.0, 'b': 4.0}
    """
    labels = np.asarray(group)
    time, got_there, start = _checked(durations, reached, entry)
    if labels.shape != time.shape:
        raise ValueError(f"{labels.size} groups were given for {time.size} pupils")
    if not time.size:
        return {}
    order = np.argsort(labels, kind="stable")
    names, firsts = np.unique(labels[order], return_index=True)
    curves = {}
    for name, rows in zip(names.tolist(), np.split(order, firsts[1:]), strict=True):
        begun = None if start is None else start[rows]
        curves[name] = kaplan_meier(time[rows], got_there[rows], entry=begun, confidence=confidence)
    return curves


def _checked(
    durations: ArrayLike, reached: ArrayLike, entry: ArrayLike | None
) -> tuple[Floats, NDArray[np.bool_], Floats | None]:
    time, given = np.asarray(durations, dtype=np.float64), np.asarray(reached)
    start = None if entry is None else np.asarray(entry, dtype=np.float64)
    if time.ndim != 1 or given.shape != time.shape or (start is not None and start.shape != time.shape):
        raise ValueError("durations, reached and entry must be flat and of one length")
    if not np.all(np.isfinite(time)) or np.any(time < 0):
        raise ValueError("every duration must be a time of zero or more")
    if not np.all((given == 0) | (given == 1)):
        raise ValueError("reached must hold true or false only")
    if start is not None and not np.all(start < time):
        raise ValueError("every entry must be a time before its duration")
    return time, given.astype(bool), start


def _curve(times: Floats, at_risk: NDArray[np.int64], events: NDArray[np.int64], *, z: float) -> SurvivalCurve:
    survival = np.asarray(np.cumprod(1 - events / at_risk), dtype=np.float64)
    open_ = at_risk > events
    terms = np.divide(events, at_risk * (at_risk - events), out=np.full(len(times), np.nan), where=open_)
    relative = np.sqrt(np.cumsum(terms))
    logs = np.log(survival, out=np.full(len(times), np.nan), where=survival > 0)
    spread = np.exp(z * relative / -logs)
    return SurvivalCurve(
        times, at_risk, events, survival, survival * relative, survival**spread, survival ** (1 / spread)
    )


def _first(times: Floats, met: NDArray[np.bool_]) -> float | None:
    where = np.flatnonzero(met)
    return float(times[where[0]]) if where.size else None
