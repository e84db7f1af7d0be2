"""Builders of observations for the tests of the measures."""

from datetime import date, timedelta

from tracker.measures.marks import COMMON_PRACTICE, Mark
from tracker.measures.observations import Observation

START = date(2026, 9, 7)
MARK = Mark(0.95, 20, COMMON_PRACTICE, 1, date(2026, 8, 1))


def day(week: int) -> date:
    """The Tuesday of a school week, 1 being the first."""
    return START + timedelta(weeks=week - 1, days=1)


def check(week: int, correct: int = 40, wrong: int = 0, **other: object) -> Observation:
    """A two-minute check; a rate of half the digits correct."""
    values = {"omitted": 0, "seconds": 120, **other}
    return Observation(day(week), week, correct, wrong, **values)


def weekly(*correct: int, wrong: int = 0, first: int = 1, **other: object) -> list[Observation]:
    return [check(first + number, digits, wrong, **other) for number, digits in enumerate(correct)]
