"""Rates a minute and accuracy, from counts and seconds."""

from typing import overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@overload
def digits_per_minute(digits: float, seconds: float) -> float: ...
@overload
def digits_per_minute(digits: ArrayLike, seconds: ArrayLike) -> float | Floats: ...
def digits_per_minute(digits: ArrayLike, seconds: ArrayLike) -> float | Floats:
    """Digits a minute: how quickly a pupil wrote correct digits.

    Parameters
    ----------
    digits : array_like of float, shape (n,) or scalar
        Digits correct in each check; NaN where there was none. [digits]
    seconds : array_like of float, shape (n,) or scalar
        Working time really taken, greater than zero; NaN when untimed. [s]

    Returns
    -------
    float or ndarray of float64, shape (n,)
        Digits correct a minute; NaN where a count or the time is NaN. A float when both are scalars. [1/min]

    Raises
    ------
    ValueError
        If seconds are zero or less, or a count is negative.

    Source
    ------
    [trade-rates]

    Examples
    --------
    >>> digits_per_minute(26, 120)
    13.0
    >>> digits_per_minute([26, 45], [120, 90])
    array([13., 30.])
    """
    return _per_minute(digits, seconds)


@overload
def errors_per_minute(wrong: float, seconds: float) -> float: ...
@overload
def errors_per_minute(wrong: ArrayLike, seconds: ArrayLike) -> float | Floats: ...
def errors_per_minute(wrong: ArrayLike, seconds: ArrayLike) -> float | Floats:
    """Digits written wrong a minute.

    Parameters
    ----------
    wrong : array_like of float, shape (n,) or scalar
        Digits written wrong in each check, left-out digits not counted; NaN where there was no check. [digits]
    seconds : array_like of float, shape (n,) or scalar
        Working time really taken, greater than zero; NaN when untimed. [s]

    Returns
    -------
    float or ndarray of float64, shape (n,)
        Wrong digits a minute; NaN where a count or the time is NaN. A float when both are scalars. [1/min]

    Raises
    ------
    ValueError
        If seconds are zero or less, or a count is negative.

    Source
    ------
    [trade-rates]

    Examples
    --------
    >>> errors_per_minute(4, 120)
    2.0
    """
    return _per_minute(wrong, seconds)


@overload
def accuracy(correct: float, wrong: float) -> float: ...
@overload
def accuracy(correct: ArrayLike, wrong: ArrayLike) -> float | Floats: ...
def accuracy(correct: ArrayLike, wrong: ArrayLike) -> float | Floats:
    """Share of the written digits that are right.

    Parameters
    ----------
    correct : array_like of float, shape (n,) or scalar
        Digits correct. [digits]
    wrong : array_like of float, shape (n,) or scalar
        Digits written wrong. [digits]

    Returns
    -------
    float or ndarray of float64, shape (n,)
        Share from 0 to 1; NaN, not 0, where nothing was written. A float when both are scalars. [share]

    Raises
    ------
    ValueError
        If a count is negative.

    Source
    ------
    [trade-rates]

    Examples
    --------
    >>> round(accuracy(26, 4), 4)
    0.8667
    >>> accuracy(0, 0)
    nan
    """
    right, errors = _counts(correct), _counts(wrong)
    written = right + errors
    share = np.divide(right, written, out=np.full(written.shape, np.nan), where=written > 0)
    return float(share) if share.ndim == 0 else share


def _per_minute(count: ArrayLike, seconds: ArrayLike) -> float | Floats:
    time = np.asarray(seconds, dtype=np.float64)
    if np.any(time <= 0):
        raise ValueError(f"seconds must be greater than zero, not {float(np.nanmin(time)):g} s")
    # Multiplied first: equal rates from different times then are equal floats, and ties stay ties.
    rate = np.asarray(_counts(count) * 60.0 / time)
    return float(rate) if rate.ndim == 0 else rate


def _counts(values: ArrayLike) -> Floats:
    counts = np.asarray(values, dtype=np.float64)
    if np.any(counts < 0):
        raise ValueError(f"a count of digits can't be negative: {float(np.nanmin(counts)):g} digits")
    return counts
