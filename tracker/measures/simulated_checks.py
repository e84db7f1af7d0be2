"""Simulated checks of pupils whose true rate is known, drawn from a seed."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class World:
    """How the simulated scores come about; independent of the noise model that the rule believes in.

    Parameters
    ----------
    day, form : float
        Spread of lognormal effects, a new one each check [share].
    carry : float
        Correlation of a day's effect with the one before [1].
    hard_forms, harder : float
        Share of checks on a harder form, and by how much [share].

    Raises
    ------
    Nothing

    Source
    ------
    [stall-noise]

    Examples
    --------
    >>> World().day
    0.12
    """

    day: float = 0.12
    form: float = 0.06
    carry: float = 0.0
    hard_forms: float = 0.0
    harder: float = 0.2


def simulate_counts(
    *, rate: float, minutes: float, checks: int, accuracy: float, pupils: int, seed: int, world: World | None = None
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Draw digits correct and wrong of pupils with one true rate that does not grow.

    Parameters
    ----------
    rate : float
        [digits correct a minute]
    minutes : float
        [min]
    checks, pupils : int
    accuracy : float
        True share of written digits that are right, above 0 [share].
    seed : int
    world : World or None

    Returns
    -------
    tuple of ndarray of int64, each of shape (pupils, checks)
        Poisson counts around the rate times the effects of day and form [digits].

    Raises
    ------
    ValueError
        When accuracy is not above 0 and at most 1.

    Source
    ------
    [stall-noise]

    Examples
    --------
    >>> correct, wrong = simulate_counts(rate=20, minutes=2, checks=12, accuracy=0.98, pupils=3, seed=1)
    >>> correct.shape, wrong.shape
    ((3, 12), (3, 12))
    """
    if not 0 < accuracy <= 1:
        raise ValueError(f"Accuracy is a share above 0 and at most 1; got {accuracy}.")
    world = world or World()
    random = np.random.default_rng(seed)
    size = (pupils, checks)
    effects = _lognormal(_carried(random.standard_normal(size), world.carry), world.day)
    effects = effects * _lognormal(random.standard_normal(size), world.form)
    effects = effects * np.where(random.random(size) < world.hard_forms, 1 - world.harder, 1.0)
    correct = random.poisson(rate * minutes * effects)
    wrong = random.poisson(rate * minutes * effects * (1 - accuracy) / accuracy)
    return correct, wrong


def _lognormal(normal: Floats, spread: float) -> Floats:
    """Effects with mean 1 and this coefficient of variation."""
    log_sd = math.sqrt(math.log(1 + spread**2))
    return np.exp(log_sd * normal - log_sd**2 / 2)


def _carried(normal: Floats, carry: float) -> Floats:
    carried = normal.copy()
    for check in range(1, normal.shape[1]):
        carried[:, check] = carry * carried[:, check - 1] + math.sqrt(1 - carry**2) * normal[:, check]
    return carried
