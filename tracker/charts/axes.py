"""Ranges and ticks of a chart's two axes."""

import math
from dataclasses import dataclass

from tracker.charts.description import SkillChart

STEPS = (1, 2, 5)
WEEK_STEPS = (1, 2, 3, 5, 10, 20)
MOST_TICKS = 6


@dataclass(frozen=True, slots=True)
class ValueAxis:
    """From `low` (below the base line, for bars) to `high`, with ticks where numbers stand."""

    low: float
    high: float
    ticks: tuple[float, ...]


def value_axis(chart: SkillChart) -> ValueAxis:
    """Room for every value of the chart; digits wrong hang below zero on the same scale.

    >>> from tracker.charts.wording import Words
    >>> value_axis(SkillChart("Facts", 1, 4, Words())).ticks
    (0.0, 2.0, 4.0, 6.0, 8.0, 10.0)
    """
    if chart.measure == "accuracy":
        return ValueAxis(-4, 106, (0.0, 20.0, 40.0, 60.0, 80.0, 100.0))
    top, deepest = highest_value(chart), max((point.wrong or 0 for point in chart.points), default=0)
    step = nice_step((top + deepest) / (MOST_TICKS - 0.5))
    high = max(1, math.ceil(top / step - 1e-9)) * step
    below = tuple(-step * count for count in range(int(deepest // step), 0, -1))
    above = tuple(step * count for count in range(round(high / step) + 1))
    return ValueAxis(-max(deepest * 1.08, 0.06 * high), high * 1.03, (*below, *above))


def highest_value(chart: SkillChart) -> float:
    """The highest thing drawn, at least 10, so that a slow beginner's chart isn't blown up.

    >>> from tracker.charts.description import Step
    >>> from tracker.charts.wording import Words
    >>> highest_value(SkillChart("Facts", 1, 4, Words(), mark=(Step(1, 31),)))
    31
    """
    lines = [chart.expected.start, chart.expected.end] if chart.expected else []
    heights = [height for point in chart.points if (height := chart.height_of(point)) is not None]
    return max([10, *heights, *(step.value for step in chart.mark), *(item.high for item in chart.likely), *lines])


def nice_step(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is at least `least`, and at least 1.

    >>> nice_step(3.2), nice_step(0.2), nice_step(51)
    (5.0, 1.0, 100.0)
    """
    power = 10.0 ** math.floor(math.log10(max(least, 1)))
    return next(step * power for step in (*STEPS, 10) if step * power >= max(least, 1) - 1e-9)


def week_ticks(first: int, last: int, *, length: float, room: float) -> tuple[int, ...]:
    """Weeks to number, on an axis `length` pixels long with `room` pixels a number; both ends always.

    >>> week_ticks(1, 27, length=520, room=30)
    (1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25, 27)
    >>> week_ticks(1, 26, length=200, room=30)
    (1, 6, 11, 16, 21, 26)
    """
    if last == first:
        return (first,)
    week = length / (last - first)
    step = next((step for step in WEEK_STEPS if step * week >= room), last - first)
    inner = [tick for tick in range(first + step, last, step) if (last - tick) * week >= room]
    return (first, *inner, last)
