"""The chance that a pupil's true rate is at the mark, from the mean of a few noisy checks."""

import math
from collections.abc import Sequence
from functools import lru_cache
from statistics import NormalDist

from tracker.measures.noise import rate_variance
from tracker.measures.rules import DEFAULT_RULES, Rules

_NORMAL = NormalDist()


def chance_at_mark(mean_rate: float, minutes: Sequence[float], mark_rate: float, *, rules: Rules) -> float:
    """Give the chance that the true rate is at the mark.

    Parameters
    ----------
    mean_rate : float
        Mean of the checks [digits correct a minute].
    minutes : sequence of float, shape (k,)
        Time of each of them [min].
    mark_rate : float
        [digits correct a minute]
    rules : Rules
        The noise model.

    Returns
    -------
    float
        One minus the probability that a pupil just at the mark shows so high a mean; the noise is that at the mark.
        With a flat prior this is the chance that the true rate is at the mark.

    Raises
    ------
    ValueError
        When there is no check.

    Source
    ------
    [own]; noise: [stall-noise]

    Examples
    --------
    >>> round(chance_at_mark(24, [2, 2, 2], 20, rules=Rules()), 3)
    0.929
    """
    return _NORMAL.cdf((mean_rate - mark_rate) / _mean_sd(tuple(minutes), mark_rate, rules))


def rate_needed(minutes: Sequence[float], mark_rate: float, *, rules: Rules = DEFAULT_RULES) -> float:
    """Give the mean rate at which the chance of being at the mark is just enough.

    Parameters
    ----------
    minutes : sequence of float, shape (k,)
        Time of each check [min].
    mark_rate : float
        [digits correct a minute]
    rules : Rules
        ``chance_at_mark`` and the noise model.

    Returns
    -------
    float
        [digits correct a minute]

    Raises
    ------
    ValueError
        When there is no check.

    Source
    ------
    [own]; noise: [stall-noise]

    Examples
    --------
    >>> round(rate_needed([2, 2, 2], 20), 2)
    23.5
    """
    return mark_rate + _quantile(rules.chance_at_mark) * _mean_sd(tuple(minutes), mark_rate, rules)


@lru_cache(maxsize=64)
def _quantile(chance: float) -> float:
    return _NORMAL.inv_cdf(chance)


def _mean_sd(minutes: tuple[float, ...], mark_rate: float, rules: Rules) -> float:
    if not minutes:
        raise ValueError("A chance needs at least one check.")
    return math.sqrt(sum(rate_variance(mark_rate, time, rules=rules) for time in minutes)) / len(minutes)
