"""How often the rules for "secure" pass pupils whose true rate is known: a simulation with a seed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.measures.chance import rate_needed
from tracker.measures.rules import DEFAULT_RULES, Rules
from tracker.measures.simulated_checks import World, simulate_counts

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Default marks of the ladder [digits correct a minute] with the minutes that their checks take.
TABLE_MARKS = ((16.0, 2.0), (20.0, 2.0), (25.0, 2.0), (30.0, 2.0), (40.0, 1.0), (40.0, 2.0), (49.0, 4.0))
TABLE_SHARES = (0.9, 1.0, 1.1)


@dataclass(frozen=True, slots=True)
class PassRates:
    """Share of simulated pupils that each rule called secure.

    Parameters
    ----------
    mark, minutes : float
        [digits correct a minute; min]
    share_of_mark : float
        True rate by the mark [share].
    checks, pupils : int
        Checks a pupil, and pupils.
    chance : float
        By pooled accuracy and the chance of being at the mark [share].
    running : tuple of (int, float)
        By that many checks running at the mark [share].

    Raises
    ------
    Nothing

    Source
    ------
    [own], simulated

    Examples
    --------
    >>> PassRates(30, 2, 0.9, 12, 1000, 0.06, ((2, 0.52),)).of("running", 2)
    0.52
    """

    mark: float
    minutes: float
    share_of_mark: float
    checks: int
    pupils: int
    chance: float
    running: tuple[tuple[int, float], ...]

    def of(self, rule: str, running: int = 2) -> float:
        """Give the rate of one rule.

        Parameters
        ----------
        rule : str
            "chance" or "running".
        running : int
            Length of the run [checks].

        Returns
        -------
        float
            Share.

        Raises
        ------
        KeyError
            When that length was not simulated.

        Source
        ------
        [own], simulated

        Examples
        --------
        See the class.
        """
        return self.chance if rule == "chance" else dict(self.running)[running]

    def standard_error(self, share: float) -> float:
        """Give the simulation error of a share.

        Parameters
        ----------
        share : float

        Returns
        -------
        float
            One standard error [share].

        Raises
        ------
        Nothing

        Source
        ------
        [own]: binomial.

        Examples
        --------
        >>> round(PassRates(30, 2, 0.9, 12, 10000, 0.06, ()).standard_error(0.06), 4)
        0.0024
        """
        return math.sqrt(share * (1 - share) / self.pupils)


def passes_chance(
    correct: NDArray[np.int64],
    wrong: NDArray[np.int64],
    *,
    mark: float,
    minutes: float,
    mark_accuracy: float = 0.95,
    rules: Rules = DEFAULT_RULES,
) -> Bools:
    """Say which pupils the chance rule ever calls secure.

    Parameters
    ----------
    correct, wrong : ndarray of int64, shape (pupils, checks)
        [digits]
    mark, minutes : float
        [digits correct a minute; min]
    mark_accuracy : float
        [share]
    rules : Rules

    Returns
    -------
    ndarray of bool, shape (pupils,)
        The same as ``mastery.first_secure`` finds one by one.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> passes_chance(np.full((1, 3), 48), np.zeros((1, 3), int), mark=20, minutes=2)
    array([ True])
    """
    if correct.shape[1] < rules.pool:
        return np.zeros(len(correct), dtype=bool)
    right, errors = _window_sums(correct, rules.pool), _window_sums(wrong, rules.pool)
    needed = rate_needed([minutes] * rules.pool, mark, rules=rules)
    quick = _reach(right / (rules.pool * minutes), needed, rules.exactly_on_mark)
    accurate = _reach(right / np.maximum(right + errors, 1), mark_accuracy, rules.exactly_on_mark)
    return np.asarray((quick & accurate).any(axis=1))


def _reach(values: Floats, bound: float, exactly: str) -> Bools:
    return values >= bound - 1e-9 if exactly == "at" else values > bound + 1e-9


def _window_sums(counts: NDArray[np.int64], size: int) -> NDArray[np.int64]:
    total = np.cumsum(np.pad(counts, ((0, 0), (1, 0))), axis=1)
    return total[:, size:] - total[:, :-size]


def passes_running(
    correct: NDArray[np.int64],
    wrong: NDArray[np.int64],
    *,
    mark: float,
    minutes: float,
    needed: int,
    mark_accuracy: float = 0.95,
) -> Bools:
    """Say which pupils ever have so many checks running at the mark.

    Parameters
    ----------
    correct, wrong : ndarray of int64, shape (pupils, checks)
        [digits]
    mark, minutes : float
        [digits correct a minute; min]
    needed : int
        Length of the run [checks].
    mark_accuracy : float
        [share]

    Returns
    -------
    ndarray of bool, shape (pupils,)

    Raises
    ------
    Nothing

    Source
    ------
    [trade-mastery]

    Examples
    --------
    >>> passes_running(np.array([[41, 39, 41, 41]]), np.zeros((1, 4), int), mark=20, minutes=2, needed=2)
    array([ True])
    """
    if correct.shape[1] < needed:
        return np.zeros(len(correct), dtype=bool)
    quick = correct / minutes >= mark - 1e-9
    at = quick & (correct / np.maximum(correct + wrong, 1) >= mark_accuracy - 1e-9)
    return np.asarray((_window_sums(at.astype(np.int64), needed) == needed).any(axis=1))


def secure_error_rates(
    *,
    mark: float,
    minutes: float,
    share_of_mark: float,
    checks: int = 12,
    accuracy: float = 0.98,
    pupils: int = 20_000,
    seed: int = 0,
    running: Sequence[int] = (2, 3),
    rules: Rules = DEFAULT_RULES,
    world: World | None = None,
) -> PassRates:
    """Simulate how often each rule calls a skill secure within some checks.

    Parameters
    ----------
    mark, minutes : float
        [digits correct a minute; min]
    share_of_mark : float
        True rate by the mark [share]; it stays the same all the time.
    checks, pupils : int
    accuracy : float
        True share of written digits that are right [share].
    seed : int
    running : sequence of int
        Lengths of run to look at besides the chance rule [checks].
    rules : Rules
    world : World or None

    Returns
    -------
    PassRates

    Raises
    ------
    ValueError
        As in ``simulate_counts``.

    Source
    ------
    [own], simulated

    Examples
    --------
    >>> rates = secure_error_rates(mark=30, minutes=2, share_of_mark=0.9, pupils=2000, seed=3)
    >>> rates.of("chance") < 0.12 < rates.of("running", 2)
    True
    """
    draw = {"minutes": minutes, "accuracy": accuracy}
    correct, wrong = simulate_counts(
        rate=mark * share_of_mark, checks=checks, pupils=pupils, seed=seed, world=world, **draw
    )
    chance = passes_chance(correct, wrong, mark=mark, minutes=minutes, rules=rules).mean()
    by_run = [
        (needed, float(passes_running(correct, wrong, mark=mark, minutes=minutes, needed=needed).mean()))
        for needed in running
    ]
    return PassRates(mark, minutes, share_of_mark, checks, pupils, float(chance), tuple(by_run))


def error_rates_table(seed: int, *, pupils: int = 20_000, rules: Rules = DEFAULT_RULES) -> list[PassRates]:
    """Simulate the whole table of error rates that the help page shows.

    Parameters
    ----------
    seed : int
    pupils : int
        In each row.
    rules : Rules

    Returns
    -------
    list of PassRates
        One a mark of ``TABLE_MARKS`` and share of ``TABLE_SHARES``, in that order.

    Raises
    ------
    Nothing

    Source
    ------
    [own], simulated

    Examples
    --------
    >>> rows = error_rates_table(1, pupils=50)
    >>> len(rows), rows[0].mark, rows[0].share_of_mark
    (21, 16.0, 0.9)
    """
    cases = [(mark, minutes, share) for mark, minutes in TABLE_MARKS for share in TABLE_SHARES]
    return [
        secure_error_rates(
            mark=mark, minutes=minutes, share_of_mark=share, pupils=pupils, seed=seed + number, rules=rules
        )
        for number, (mark, minutes, share) in enumerate(cases)
    ]
