"""What a pupil-and-skill chart says, before anybody draws it."""

import math
from dataclasses import dataclass
from datetime import date
from typing import Literal

from tracker.charts.wording import Words

Kind = Literal["timed", "untimed"]
Measure = Literal["rate", "accuracy"]


@dataclass(frozen=True, slots=True)
class Point:
    """One check: rate and wrong in digits a minute, accuracy a share; NaN counts as missing."""

    week: int
    date: str
    label: str
    rate: float | None = None
    wrong: float | None = None
    accuracy: float | None = None
    set_aside: bool = False
    kind: Kind = "timed"
    url: str | None = None
    date_text: str = ""

    def __post_init__(self) -> None:
        date.fromisoformat(self.date)
        for name in ("rate", "wrong", "accuracy"):
            object.__setattr__(self, name, _number(name, getattr(self, name)))
        if self.kind == "untimed" and (self.rate is not None or self.wrong is not None):
            raise ValueError("an untimed check has no rate")
        if self.accuracy is not None and self.accuracy > 1:
            raise ValueError("accuracy is a share from 0 to 1")
        if self.url is not None and (not self.url.startswith("/") or self.url.startswith(("//", "/\\"))):
            raise ValueError("a chart links only to pages of this site")


@dataclass(frozen=True, slots=True)
class Step:
    """A mark and the first week in which it holds (a share in a chart of accuracy)."""

    week: float
    value: float


@dataclass(frozen=True, slots=True)
class Line:
    """Expected growth, from one week and value to another."""

    start_week: float
    start: float
    end_week: float
    end: float
    label: str


@dataclass(frozen=True, slots=True)
class Likely:
    """The likely range in one week."""

    week: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Span:
    """A labelled run of whole weeks, both included: a band to look at, or a break."""

    first: int
    last: int
    label: str

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError("a span ends before it begins")


@dataclass(frozen=True, slots=True)
class Change:
    """A change of teaching; `week` is the first week of the new teaching."""

    week: int
    label: str


@dataclass(frozen=True, slots=True)
class SkillChart:
    """One pupil on one skill, over calendar weeks that are never compressed."""

    title: str
    first_week: int
    last_week: int
    words: Words
    points: tuple[Point, ...] = ()
    start_text: str = ""
    end_text: str = ""
    mark: tuple[Step, ...] = ()
    expected: Line | None = None
    likely: tuple[Likely, ...] = ()
    bands: tuple[Span, ...] = ()
    changes: tuple[Change, ...] = ()
    breaks: tuple[Span, ...] = ()
    trend: str = ""
    measure: Measure = "rate"

    def __post_init__(self) -> None:
        if self.last_week < self.first_week:
            raise ValueError("the last week comes before the first")
        outside = [p.week for p in self.points if not self.first_week <= p.week <= self.last_week]
        if outside:
            raise ValueError(f"checks outside the weeks of the chart: {outside}")
        object.__setattr__(self, "points", tuple(sorted(self.points, key=lambda point: (point.week, point.date))))
        object.__setattr__(self, "mark", tuple(sorted(self.mark, key=lambda step: step.week)))

    @property
    def scale(self) -> int:
        """Units shown for one unit kept: accuracy is kept as a share and shown in per cent."""
        return 100 if self.measure == "accuracy" else 1

    def height_of(self, point: Point) -> float | None:
        """The value that a point's dot stands at, as shown, or None without one."""
        kept = point.accuracy if self.measure == "accuracy" else point.rate
        return None if kept is None else kept * self.scale


def place_weeks(points: tuple[Point, ...]) -> tuple[float, ...]:
    """Where each point stands on the week axis: at its week, later ones of the same week by their days.

    >>> place_weeks((Point(3, "2026-09-21", "A"), Point(3, "2026-09-28", "B"), Point(4, "2026-10-02", "C")))
    (3.0, 3.857142857142857, 4.0)
    """
    first: dict[int, date] = {}
    places = []
    for point in points:
        on = date.fromisoformat(point.date)
        start = first.setdefault(point.week, on)
        places.append(point.week + min((on - start).days, 6) / 7)
    return tuple(places)


def _number(name: str, value: float | None) -> float | None:
    if value is None or math.isnan(value):
        return None
    if value < 0 or math.isinf(value):
        raise ValueError(f"{name} is a finite number from 0 up")
    return float(value)
