"""How many flags rise by chance on pupils who are right often enough: a simulation with a seed, and what it gave."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.measures.intervals import newcombe
from tracker.measures.rules import DEFAULT_RULES, MEASURES_VERSION, Rules
from tracker.measures.simulated_checks import simulate_counts

Counts = NDArray[np.int64]
Bools = NDArray[np.bool_]

# True accuracies of the steady pupils, as many of each: from the gate to nearly always right [share].
ACCURACIES = (0.90, 0.92, 0.94, 0.96, 0.98)
# Their true rates, as many of each [digits correct a minute].
RATES = (10.0, 20.0, 30.0)
WEEKS = 36
MINUTES = 2.0
# Correlation of the digits of one check: with some 40 digits, shares vary 1.6 times as much as if each erred alone.
TOGETHER = 0.015
# The settings that decide. Where a school changes one of them, what was measured need not hold for it.
RULES_USED = frozenset(
    {
        *("gap_checks", "gap_twin_days", "gap_twin_accuracy", "gap_points", "gap_confidence"),
        *("low_accuracy", "low_accuracy_checks", "low_accuracy_from", "low_accuracy_gain", "low_accuracy_sds"),
        *("accuracy_dispersion", "rise_again_checks", "skipped_digits"),
    }
)


@dataclass(frozen=True, slots=True)
class FlagRates:
    """Flags that steady pupils got.

    Parameters
    ----------
    accuracy_low, regrouping_gap : float
        Flags a pupil, skill and school year [flags]; each was closed at once, so that it could rise again.
    accuracy_low_at_gate : float
        The same for pupils whose true accuracy is just at the gate, the worst case [flags].
    series : int
        Pupils simulated.
    seed : int
    version : str
        Of the measures.

    Raises
    ------
    Nothing

    Source
    ------
    [own], simulated

    Examples
    --------
    >>> MEASURED.regrouping_gap <= MEASURED.accuracy_low < MEASURED.accuracy_low_at_gate
    True
    """

    accuracy_low: float
    regrouping_gap: float
    accuracy_low_at_gate: float
    series: int
    seed: int
    version: str


def accuracy_low_weeks(correct: Counts, wrong: Counts, *, rules: Rules = DEFAULT_RULES) -> Bools:
    """Say in which weeks accuracy stays low, as ``flags.accuracy_stays_low`` does one by one.

    Parameters
    ----------
    correct, wrong : ndarray of int64, shape (pupils, weeks)
        One check a week with something written each time [digits].
    rules : Rules

    Returns
    -------
    ndarray of bool, shape (pupils, weeks)

    Raises
    ------
    Nothing

    Source
    ------
    [stall-accuracy]

    Examples
    --------
    >>> accuracy_low_weeks(np.full((1, 9), 30), np.full((1, 9), 10)).tolist()
    [[False, False, False, False, False, False, False, True, True]]
    """
    size = rules.low_accuracy_checks
    right, total = _last(correct, size), _last(correct + wrong, size)
    share = right / total
    before = np.full(share.shape, np.nan)
    before[:, size:] = share[:, :-size]
    upper = share + rules.low_accuracy_sds * np.sqrt(rules.accuracy_dispersion * share * (1 - share) / total)
    low = (upper < rules.low_accuracy) & (share - before < rules.low_accuracy_gain - 1e-9)
    low[:, : max(rules.low_accuracy_from, 2 * size) - 1] = False
    return np.asarray(low)


def regrouping_gap_weeks(
    skill: tuple[Counts, Counts], twin: tuple[Counts, Counts], *, rules: Rules = DEFAULT_RULES
) -> Bools:
    """Say in which weeks there is a regrouping gap, as ``flags.regrouping_gap`` does one by one.

    Parameters
    ----------
    skill, twin : tuple of (ndarray of int64, ndarray of int64), each of shape (pupils, weeks)
        Correct and wrong of a check a week, skill and twin on the same day [digits].
    rules : Rules

    Returns
    -------
    ndarray of bool, shape (pupils, weeks)

    Raises
    ------
    Nothing

    Source
    ------
    [own]; interval: [newcombe-1998]

    Examples
    --------
    >>> skill, twin = (np.full((1, 4), 20), np.full((1, 4), 20)), (np.full((1, 4), 46), np.full((1, 4), 2))
    >>> regrouping_gap_weeks(skill, twin).tolist()
    [[False, False, True, True]]
    """
    right, total = _last(skill[0], rules.gap_checks), _last(skill[0] + skill[1], rules.gap_checks)
    window = rules.gap_twin_days // 7 + 1
    twin_right, twin_total = _last(twin[0], window), _last(twin[0] + twin[1], window)
    apart = twin_right / twin_total - right / total >= rules.gap_points - 1e-9
    apart &= twin_right / twin_total >= rules.gap_twin_accuracy
    apart[:, : rules.gap_checks - 1] = False
    for row, week in zip(*np.nonzero(apart), strict=True):
        one = float(twin_right[row, week]), float(twin_total[row, week])
        two = float(right[row, week]), float(total[row, week])
        found = newcombe(one, two, confidence=rules.gap_confidence, dispersion=rules.accuracy_dispersion)
        apart[row, week] = found.low > 0
    return np.asarray(apart)


def _last(counts: Counts, size: int) -> Counts:
    """Sum over the last so many weeks, or as many as there are."""
    total = np.cumsum(counts, axis=1)
    total[:, size:] = total[:, size:] - total[:, :-size]
    return total


def rises(met: Bools, *, rules: Rules = DEFAULT_RULES) -> NDArray[np.int64]:
    """Count the flags of each pupil in a year, each closed at once, as ``flags.may_rise_again`` lets them rise.

    Parameters
    ----------
    met : ndarray of bool, shape (pupils, weeks)
        Whether the rule holds, one check a week.
    rules : Rules
        ``rise_again_checks``.

    Returns
    -------
    ndarray of int64, shape (pupils,)

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> rises(np.ones((1, 17), dtype=bool)).tolist()
    [3]
    """
    raised = np.full(len(met), -rules.rise_again_checks, dtype=np.int64)
    count = np.zeros(len(met), dtype=np.int64)
    for week in range(met.shape[1]):
        new = met[:, week] & (week - raised >= rules.rise_again_checks)
        raised[new] = week
        count += new
    return count


def steady_counts(*, rate: float, accuracy: float, pupils: int, seed: int) -> tuple[Counts, Counts]:
    """Draw a year of weekly checks of pupils with one true rate and accuracy, whose digits err together.

    Parameters
    ----------
    rate : float
        [digits correct a minute]
    accuracy : float
        True share of written digits that are right, above 0 and below 1 [share].
    pupils : int
    seed : int

    Returns
    -------
    tuple of ndarray of int64, each of shape (pupils, WEEKS)
        Correct and wrong [digits]; at least one digit is written in every check.

    Raises
    ------
    ValueError
        When accuracy is not between 0 and 1.

    Source
    ------
    [stall-noise]; digits that err together: [own]

    Examples
    --------
    >>> correct, wrong = steady_counts(rate=20, accuracy=0.9, pupils=2, seed=1)
    >>> correct.shape, bool((correct + wrong > 0).all())
    ((2, 36), True)
    """
    if not 0 < accuracy < 1:
        raise ValueError(f"Accuracy lies between 0 and 1; got {accuracy}.")
    made = simulate_counts(rate=rate / accuracy, minutes=MINUTES, checks=WEEKS, accuracy=1.0, pupils=pupils, seed=seed)
    written = np.maximum(made[0], 1)
    random = np.random.default_rng([seed, 1])
    spread = 1 / TOGETHER - 1
    share = random.beta(accuracy * spread, (1 - accuracy) * spread, size=written.shape)
    correct = random.binomial(written, share)
    return correct, written - correct


def flag_rates(*, pupils: int, seed: int, rules: Rules = DEFAULT_RULES) -> FlagRates:
    """Simulate how many flags steady pupils get in a year of weekly checks, skill and twin alike.

    Parameters
    ----------
    pupils : int
        In each of the cells of ``ACCURACIES`` and ``RATES``.
    seed : int
    rules : Rules

    Returns
    -------
    FlagRates

    Raises
    ------
    Nothing

    Source
    ------
    [own], simulated

    Examples
    --------
    >>> flag_rates(pupils=20, seed=1).series
    300
    """
    low: dict[float, list[float]] = {accuracy: [] for accuracy in ACCURACIES}
    gaps = []
    cells = [(accuracy, rate) for accuracy in ACCURACIES for rate in RATES]
    for number, (accuracy, rate) in enumerate(cells):
        skill = steady_counts(rate=rate, accuracy=accuracy, pupils=pupils, seed=seed + 2 * number)
        twin = steady_counts(rate=rate, accuracy=accuracy, pupils=pupils, seed=seed + 2 * number + 1)
        low[accuracy].append(float(rises(accuracy_low_weeks(*skill, rules=rules), rules=rules).mean()))
        gaps.append(float(rises(regrouping_gap_weeks(skill, twin, rules=rules), rules=rules).mean()))
    everyone = [share for shares in low.values() for share in shares]
    return FlagRates(
        accuracy_low=math.fsum(everyone) / len(everyone),
        regrouping_gap=math.fsum(gaps) / len(gaps),
        accuracy_low_at_gate=math.fsum(low[ACCURACIES[0]]) / len(RATES),
        series=pupils * len(cells),
        seed=seed,
        version=MEASURES_VERSION,
    )


# What flag_rates(pupils=20_000, seed=20_260) gave.
MEASURED = FlagRates(
    accuracy_low=0.0293, regrouping_gap=0.00006, accuracy_low_at_gate=0.1303, series=300_000, seed=20_260, version="1"
)
