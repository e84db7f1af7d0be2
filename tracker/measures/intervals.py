"""Intervals for shares and for the difference of two shares."""

import math
from dataclasses import dataclass
from statistics import NormalDist

NEWCOMBE = "newcombe-hybrid-score"
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Difference:
    """The difference of two shares with its interval.

    Parameters
    ----------
    value, low, high : float
        First share minus second [share].
    method : str

    Raises
    ------
    Nothing

    Source
    ------
    [newcombe-1998]

    Examples
    --------
    >>> Difference(0.2, 0.05, 0.33, NEWCOMBE).low
    0.05
    """

    value: float
    low: float
    high: float
    method: str


def wilson(right: float, total: float, *, confidence: float = 0.95) -> tuple[float, float]:
    """Give the score interval of a share.

    Parameters
    ----------
    right, total : float
        Digits; need not be whole, so that an effective number can be used [digits].
    confidence : float
        Between 0 and 1 [share].

    Returns
    -------
    tuple of (float, float)
        Low and high [share].

    Raises
    ------
    ValueError
        When the total is not above zero or ``right`` lies outside 0 to ``total``.

    Source
    ------
    [newcombe-1998], after Wilson 1927

    Examples
    --------
    >>> tuple(round(end, 4) for end in wilson(56, 70))
    (0.6918, 0.877)
    """
    if not total > 0 or not 0 <= right <= total:
        raise ValueError(f"A share needs a total above 0 and a part from 0 to the total; got {right} of {total}.")
    z = _NORMAL.inv_cdf(0.5 + confidence / 2)
    share = right / total
    middle = share + z * z / (2 * total)
    half = z * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    size = 1 + z * z / total
    return max(0.0, (middle - half) / size), min(1.0, (middle + half) / size)


def newcombe(
    first: tuple[float, float], second: tuple[float, float], *, confidence: float = 0.95, dispersion: float = 1.0
) -> Difference:
    """Give the hybrid score interval of the difference of two independent shares.

    Parameters
    ----------
    first, second : tuple of (float, float)
        Right and total of each [digits].
    confidence : float
        Between 0 and 1 [share].
    dispersion : float
        Factor on the variance [1]; the totals are divided by it, since digits of one pupil err together.

    Returns
    -------
    Difference

    Raises
    ------
    ValueError
        As in ``wilson``.

    Source
    ------
    [newcombe-1998]

    Examples
    --------
    >>> answer = newcombe((56, 70), (48, 80))
    >>> round(answer.value, 4), round(answer.low, 4), round(answer.high, 4)
    (0.2, 0.0524, 0.3339)
    """
    one, two = first[0] / first[1], second[0] / second[1]
    low_one, high_one = wilson(first[0] / dispersion, first[1] / dispersion, confidence=confidence)
    low_two, high_two = wilson(second[0] / dispersion, second[1] / dispersion, confidence=confidence)
    value = one - two
    low = value - math.hypot(one - low_one, high_two - two)
    high = value + math.hypot(high_one - one, two - low_two)
    return Difference(value, low, high, NEWCOMBE)
