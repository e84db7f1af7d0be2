"""What one pupil did in one check, as counts, and the school's calendar of weeks."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tracker.measures.rules import DEFAULT_RULES, Rules

STATUSES = ("done", "stopped", "absent", "not-given", "due")
MODES = ("written", "oral", "scribed", "keyboard", "tiles")
PLACES = ("school", "away")
SCHOOL_DAYS = frozenset({0, 1, 2, 3, 4})


@dataclass(frozen=True, slots=True)
class Observation:
    """One attempt of one pupil on one skill.

    Parameters
    ----------
    on : date
        The day it was taken.
    week : int
        Calendar week of the school year, from ``school_week``.
    correct, wrong, omitted : int
        Digits [digits]; omitted are those left out within reach.
    seconds : float or None
        Time taken [s]; None when untimed.
    status, mode, place : str
        One of ``STATUSES``, ``MODES``, ``PLACES``.
    regroup_correct, regroup_wrong, plain_correct, plain_wrong : int or None
        The same digits by column, with and without regrouping [digits], where answers were entered.

    Raises
    ------
    ValueError
        For negative counts, seconds that are not above zero, or an unknown status, mode or place.

    Source
    ------
    [own]: digits correct, wrong and omitted are kept apart, so that every definition of an error can be made.

    Examples
    --------
    >>> seen = Observation(date(2026, 9, 8), 2, 26, 4, 0, 120)
    >>> seen.rate, round(seen.accuracy, 4), seen.counts_for_rate
    (13.0, 0.8667, True)
    """

    on: date
    week: int
    correct: int
    wrong: int
    omitted: int
    seconds: float | None
    status: str = "done"
    mode: str = "written"
    place: str = "school"
    regroup_correct: int | None = None
    regroup_wrong: int | None = None
    plain_correct: int | None = None
    plain_wrong: int | None = None

    def __post_init__(self) -> None:
        if min(self.correct, self.wrong, self.omitted) < 0:
            raise ValueError("Digits correct, wrong and omitted are zero or more.")
        if self.seconds is not None and not (0 < self.seconds < math.inf):
            raise ValueError(f"Seconds are above zero, or None when untimed; got {self.seconds}.")
        _refuse_unknown("status", self.status, STATUSES)
        _refuse_unknown("mode", self.mode, MODES)
        _refuse_unknown("place", self.place, PLACES)

    @property
    def counts_for_rate(self) -> bool:
        """Whether it may enter a rate: done, written and timed."""
        return self.status == "done" and self.mode == "written" and self.seconds is not None

    @property
    def counts_for_accuracy(self) -> bool:
        """Whether it may enter accuracy: done or stopped, with something written."""
        return self.status in ("done", "stopped") and self.correct + self.wrong > 0

    @property
    def rate(self) -> float | None:
        """Digits correct a minute; None when untimed, stopped or not written."""
        return self.correct * 60 / self.seconds if self.counts_for_rate and self.seconds else None

    @property
    def accuracy(self) -> float | None:
        """Share of the written digits that are right, 0 to 1; None when nothing was written."""
        return self.correct / (self.correct + self.wrong) if self.counts_for_accuracy else None

    @property
    def minutes(self) -> float | None:
        """Time taken [min]; None when untimed."""
        return None if self.seconds is None else self.seconds / 60


def _refuse_unknown(name: str, value: str, allowed: Sequence[str]) -> None:
    if value not in allowed:
        raise ValueError(f"{name} is {value!r}, but allowed are {', '.join(allowed)}.")


def school_written(observations: Iterable[Observation]) -> list[Observation]:
    """Keep the attempts written at school, oldest first; only these enter a stage.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        In any order.

    Returns
    -------
    list of Observation
        Absent, due and not-given ones too. Those of one day are ordered by their content, so that the order in
        which they were handed over changes nothing.

    Raises
    ------
    Nothing

    Source
    ------
    [own]: attempts away from school never enter a stage silently.

    Examples
    --------
    >>> away = Observation(date(2026, 9, 8), 2, 30, 0, 0, 60, place="away")
    >>> school_written([away])
    []
    """
    kept = [seen for seen in observations if seen.place == "school" and seen.mode == "written"]
    return sorted(kept, key=_day_then_content)


def _day_then_content(seen: Observation) -> tuple[date, float, float, int, int, str]:
    accuracy = seen.accuracy
    rate = seen.rate
    return (
        seen.on,
        -1.0 if rate is None else rate,
        -1.0 if accuracy is None else accuracy,
        seen.correct,
        seen.omitted,
        seen.status,
    )


def wrong_digits(seen: Observation, *, rules: Rules = DEFAULT_RULES) -> int:
    """Count the wrong digits under the school's choice about digits left out.

    Parameters
    ----------
    seen : Observation
    rules : Rules
        ``skipped_digits``: "omitted" leaves them out, "wrong" counts them as errors.

    Returns
    -------
    int
        [digits]

    Raises
    ------
    Nothing

    Source
    ------
    [fuchs-guidance]: sources differ on digits skipped inside the attempted range.

    Examples
    --------
    >>> seen = Observation(date(2026, 9, 8), 2, 18, 1, 1, 60)
    >>> wrong_digits(seen), wrong_digits(seen, rules=Rules(skipped_digits="wrong"))
    (1, 2)
    """
    return seen.wrong + seen.omitted if rules.skipped_digits == "wrong" else seen.wrong


def pooled_accuracy(observations: Iterable[Observation], *, rules: Rules = DEFAULT_RULES) -> float | None:
    """Accuracy over several checks together: all digits correct by all digits judged.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        Those that do not count for accuracy are passed over.
    rules : Rules

    Returns
    -------
    float or None
        Share, 0 to 1; None when nothing was written.

    Raises
    ------
    Nothing

    Source
    ------
    [trade-rates]

    Examples
    --------
    >>> first = Observation(date(2026, 9, 8), 2, 26, 4, 0, 120)
    >>> second = Observation(date(2026, 9, 15), 3, 30, 0, 0, 120)
    >>> round(pooled_accuracy([first, second]), 4)
    0.9333
    >>> pooled_accuracy([]) is None
    True
    """
    correct = judged = 0
    for seen in observations:
        if seen.counts_for_accuracy:
            correct += seen.correct
            judged += seen.correct + wrong_digits(seen, rules=rules)
    return correct / judged if judged else None


def school_week(on: date, *, year_start: date, week_start: int = 0) -> int:
    """Give the calendar week of a school year; holidays are never taken out.

    Parameters
    ----------
    on : date
    year_start : date
        First day of the school year; the week that holds it is week 1.
    week_start : int
        First day of the week, 0 Monday to 6 Sunday.

    Returns
    -------
    int
        Week; 0 or less before the year's first week.

    Raises
    ------
    ValueError
        When ``week_start`` is not 0 to 6.

    Source
    ------
    [own]: one time axis for every measure.

    Examples
    --------
    >>> school_week(date(2026, 9, 14), year_start=date(2026, 9, 2))
    3
    """
    return (_week_begins(on, week_start) - _week_begins(year_start, week_start)).days // 7 + 1


def _week_begins(on: date, week_start: int) -> date:
    if week_start not in range(7):
        raise ValueError(f"week_start is {week_start}, but allowed is 0 (Monday) to 6 (Sunday).")
    return on - timedelta(days=(on.weekday() - week_start) % 7)


def school_weeks_between(
    first: date,
    last: date,
    *,
    breaks: Sequence[tuple[date, date]] = (),
    week_start: int = 0,
    school_days: frozenset[int] = SCHOOL_DAYS,
) -> int:
    """Count the school weeks from one day's week to another's, without those wholly inside a break.

    Parameters
    ----------
    first, last : date
        The week of ``first`` is not counted, that of ``last`` is.
    breaks : sequence of (date, date), shape (b, 2)
        First and last day of each, both included.
    week_start : int
        First day of the week, 0 Monday to 6 Sunday.
    school_days : frozenset of int
        Days that can be school days, 0 Monday to 6 Sunday; a week is wholly inside when all of them are.

    Returns
    -------
    int
        School weeks; 0 when ``last`` is not after ``first``.

    Raises
    ------
    ValueError
        When ``week_start`` is not 0 to 6.

    Source
    ------
    [own]

    Examples
    --------
    >>> autumn = [(date(2026, 10, 19), date(2026, 10, 23))]
    >>> school_weeks_between(date(2026, 10, 13), date(2026, 10, 27), breaks=autumn)
    1
    """
    begins = _week_begins(first, week_start)
    weeks = (_week_begins(last, week_start) - begins).days // 7
    mondays = (begins + timedelta(weeks=number) for number in range(1, weeks + 1))
    return sum(not _inside_breaks(day, breaks, school_days) for day in mondays)


def _inside_breaks(begins: date, breaks: Sequence[tuple[date, date]], school_days: frozenset[int]) -> bool:
    days = [begins + timedelta(days=number) for number in range(7)]
    return all(any(start <= day <= end for start, end in breaks) for day in days if day.weekday() in school_days)
