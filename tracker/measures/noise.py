"""How far a check may stray by chance, and when an entry is unlike what was to be expected."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from tracker.measures.observations import Observation, school_written, wrong_digits
from tracker.measures.rules import DEFAULT_RULES, Rules

MORE_THAN_SHEET = "more-than-sheet"
UNLIKE_LAST_CHECKS = "unlike-last-checks"
MORE_WRONG_THAN_USUAL = "more-wrong-than-usual"


class Expected(Protocol):
    """What any model says of the next check; a better model only has to give these."""

    @property
    def digits(self) -> float:
        """Digits correct expected on the sheet."""

    @property
    def sd(self) -> float:
        """Standard deviation of the digits correct."""

    @property
    def from_checks(self) -> int:
        """Number of checks it rests on."""

    @property
    def wrong(self) -> float | None:
        """Digits wrong expected; None when the model has no view."""

    @property
    def wrong_sd(self) -> float | None:
        """Standard deviation of the digits wrong; None when the model has no view."""


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a pupil's last checks say of the next one.

    Parameters
    ----------
    digits, sd : float
        Digits correct on the sheet and their standard deviation [digits].
    from_checks : int
        Checks it rests on.
    wrong, wrong_sd : float or None
        Digits wrong and their standard deviation [digits].

    Raises
    ------
    Nothing

    Source
    ------
    [stall-noise]

    Examples
    --------
    >>> Expectation(40.0, 8.0, 3).wrong is None
    True
    """

    digits: float
    sd: float
    from_checks: int
    wrong: float | None = None
    wrong_sd: float | None = None


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why an entry should be looked at again.

    Parameters
    ----------
    code : str
        ``MORE_THAN_SHEET``, ``UNLIKE_LAST_CHECKS`` or ``MORE_WRONG_THAN_USUAL``.
    expected, got : float
        Digits; for ``MORE_THAN_SHEET`` what the sheet holds [digits].

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> Doubt("more-than-sheet", 60, 75).got
    75
    """

    code: str
    expected: float
    got: float


def rate_variance(level: float, minutes: float, *, rules: Rules = DEFAULT_RULES) -> float:
    """Give the variance of one check's rate around a pupil's level.

    Parameters
    ----------
    level : float
        True rate [digits correct a minute].
    minutes : float
        Time of the check [min].
    rules : Rules
        ``dispersion``, ``day_variation`` and ``form_variation``.

    Returns
    -------
    float
        dispersion x (level / minutes + (variation x level)^2) [(digits a minute)^2].

    Raises
    ------
    ValueError
        When minutes are not above zero or the level is negative.

    Source
    ------
    [stall-noise]

    Examples
    --------
    >>> round(rate_variance(20.0, 2.0), 2)
    22.36
    """
    if not minutes > 0 or not level >= 0:
        raise ValueError(f"A level is zero or more and minutes are above zero; got {level} and {minutes}.")
    variation = rules.day_variation**2 + rules.form_variation**2
    return rules.dispersion * (level / minutes + variation * level**2)


def expectation(
    observations: Iterable[Observation], *, seconds: float, on: date | None = None, rules: Rules = DEFAULT_RULES
) -> Expectation | None:
    """Say what to expect of a pupil's next check from the last ones.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        Earlier attempts of one pupil on one skill.
    seconds : float
        Time of the next check [s].
    on : date or None
        Its day; a week after the last one when None. Checks on or after it are not used.
    rules : Rules
        ``pool`` checks are used, none older than ``stale_days``.

    Returns
    -------
    Expectation or None
        Level plus expected growth; the spread holds the check's own noise, that of the level, and that of growth
        and of missed weeks since. None when there is no timed check to go by.

    Raises
    ------
    ValueError
        When seconds are not above zero.

    Source
    ------
    [stall-noise]

    Examples
    --------
    >>> seen = [Observation(date(2026, 9, day), 2, 40, 1, 0, 120) for day in (1, 8, 15)]
    >>> expected = expectation(seen, seconds=120)
    >>> round(expected.digits, 1), round(expected.sd, 1), expected.from_checks
    (42.0, 11.5, 3)
    """
    if not seconds > 0:
        raise ValueError(f"Seconds are above zero; got {seconds}.")
    timed = [seen for seen in school_written(observations) if seen.counts_for_rate and (on is None or seen.on < on)]
    last = [seen for seen in timed if on is None or (on - seen.on).days <= rules.stale_days][-rules.pool :]
    if not last:
        return None
    return _expect(last, seconds / 60, _weeks_ahead(last, on), rules=rules)


def _weeks_ahead(last: list[Observation], on: date | None) -> tuple[float, float]:
    """Weeks from the middle of the last checks, and from the very last one, to the next."""
    since_last = 1.0 if on is None else (on - last[-1].on).days / 7
    middle = sum((last[-1].on - seen.on).days for seen in last) / len(last) / 7
    return since_last + middle, since_last


def _expect(last: list[Observation], minutes: float, ahead: tuple[float, float], *, rules: Rules) -> Expectation:
    level = sum(seen.rate or 0.0 for seen in last) / len(last)
    weeks = min(ahead[0], rules.growth_weeks)
    rate = level + rules.growth_per_week * weeks
    # a level of next to nothing still has the noise of one digit
    floor = max(rate, 1 / minutes)
    variance = rate_variance(floor, minutes, rules=rules)
    variance += sum(rate_variance(floor, seen.minutes or minutes, rules=rules) for seen in last) / len(last) ** 2
    variance += (rules.growth_spread * weeks) ** 2
    if ahead[1] > rules.missed_weeks:
        variance += rules.missed_spread**2
    wrong, wrong_sd = _expect_wrong(last, minutes, rules)
    return Expectation(rate * minutes, math.sqrt(variance) * minutes, len(last), wrong, wrong_sd)


def _expect_wrong(last: list[Observation], minutes: float, rules: Rules) -> tuple[float, float]:
    time = sum(seen.minutes or 0.0 for seen in last)
    # half a digit more than seen: a pupil without an error so far is not expected to make none for ever
    a_minute = (sum(wrong_digits(seen, rules=rules) for seen in last) + 0.5) / time
    own = a_minute * minutes
    return own, math.sqrt(rules.accuracy_dispersion * (own + own * minutes / time) + 1.0)


def doubt(
    observation: Observation, expected: Expected | None, *, possible: int | None, rules: Rules = DEFAULT_RULES
) -> Doubt | None:
    """Say whether a new entry should be looked at again before it is believed.

    Parameters
    ----------
    observation : Observation
    expected : Expected or None
        For the same sheet and time; from ``expectation`` or from a model of its own.
    possible : int or None
        Digits the sheet holds [digits]; None when nobody knows.
    rules : Rules
        ``doubt_sds``.

    Returns
    -------
    Doubt or None
        The first that applies: more than the sheet holds, unlike the last checks, more wrong than usual.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> usual = Expectation(40.0, 8.0, 3, wrong=1.0, wrong_sd=1.5)
    >>> doubt(Observation(date(2026, 9, 8), 2, 4, 0, 0, 120), usual, possible=60).code
    'unlike-last-checks'
    >>> doubt(Observation(date(2026, 9, 8), 2, 38, 1, 0, 120), usual, possible=60) is None
    True
    """
    beyond = _beyond_sheet(observation, possible)
    if beyond is not None or expected is None or not observation.counts_for_rate:
        return beyond
    if abs(observation.correct - expected.digits) > rules.doubt_sds * expected.sd:
        return Doubt(UNLIKE_LAST_CHECKS, expected.digits, observation.correct)
    if expected.wrong is None or expected.wrong_sd is None:
        return None
    wrong = wrong_digits(observation, rules=rules)
    if wrong - expected.wrong > rules.doubt_sds * expected.wrong_sd:
        return Doubt(MORE_WRONG_THAN_USUAL, expected.wrong, wrong)
    return None


def _beyond_sheet(seen: Observation, possible: int | None) -> Doubt | None:
    if possible is None:
        return None
    # wrong digits may stand beside right ones in one place, so the two are not added up
    most = max(seen.correct + seen.omitted, seen.wrong)
    return Doubt(MORE_THAN_SHEET, possible, most) if most > possible else None
