"""Attempts as the measures read them."""

from collections.abc import Iterable
from datetime import date
from typing import Protocol

from tracker.measures.observations import Observation, school_week

# A Monday long before any check: weeks counted from here run on through every school year.
FIRST_WEEK = date(2000, 1, 3)
AWAY = frozenset({"home", "remote"})


class AttemptLike(Protocol):
    """What an Attempt and the light rows of queries.whole have in common."""

    @property
    def taken_on(self) -> date: ...
    @property
    def status(self) -> str: ...
    @property
    def mode(self) -> str: ...
    @property
    def setting(self) -> str: ...
    @property
    def correct(self) -> int | None: ...
    @property
    def wrong(self) -> int | None: ...
    @property
    def omitted(self) -> int | None: ...
    @property
    def seconds(self) -> int | None: ...
    @property
    def regroup_correct(self) -> int | None: ...
    @property
    def regroup_wrong(self) -> int | None: ...
    @property
    def plain_correct(self) -> int | None: ...
    @property
    def plain_wrong(self) -> int | None: ...


def place_of(setting: str) -> str:
    return "away" if setting in AWAY else "school"


def observation_of(row: AttemptLike, *, year_start: date = FIRST_WEEK, week_start: int = 0) -> Observation:
    return Observation(
        on=row.taken_on,
        week=school_week(row.taken_on, year_start=year_start, week_start=week_start),
        correct=row.correct or 0,
        wrong=row.wrong or 0,
        omitted=row.omitted or 0,
        seconds=row.seconds,
        status=row.status,
        mode=row.mode,
        place=place_of(row.setting),
        regroup_correct=row.regroup_correct,
        regroup_wrong=row.regroup_wrong,
        plain_correct=row.plain_correct,
        plain_wrong=row.plain_wrong,
    )


def observations_from(
    rows: Iterable[AttemptLike], *, year_start: date = FIRST_WEEK, week_start: int = 0
) -> list[Observation]:
    """Rows that are no longer due, in the order given. Weeks run from the year's start where one is given."""
    return [observation_of(row, year_start=year_start, week_start=week_start) for row in rows if row.status != "due"]
