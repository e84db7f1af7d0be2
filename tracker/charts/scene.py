"""The drawing plan of a chart at one width: both renderers follow it, so they can't disagree."""

from dataclasses import dataclass, replace
from typing import Literal

from tracker.charts.axes import ValueAxis, value_axis, week_ticks
from tracker.charts.brush import SIZE
from tracker.charts.description import SkillChart, place_weeks
from tracker.charts.placing import Anchor, Flag, Placed, place_flags, stacked, text_width, wrapped
from tracker.charts.words import mark_text

NARROW, WIDE = 300, 640
LINE = 16
LANE = 24
GUTTER_ROOM = 104
MARGIN = 4
Shape = Literal["dot", "hollow", "square"]


@dataclass(frozen=True, slots=True)
class Dot:
    """One check as drawn; `index` is its place among the description's points."""

    index: int
    week: float
    value: float
    shape: Shape


@dataclass(frozen=True, slots=True)
class StripLabel:
    """A label above the plot at a week, in a row counted upwards; a stem rises to it from the plot."""

    week: float
    row: int
    anchor: Anchor
    text: str
    stem: bool


@dataclass(frozen=True, slots=True)
class GutterLabel:
    """A label at the end of a line; `middle` is its centre, in pixels from the top of the plot."""

    middle: float
    lines: tuple[str, ...]
    strong: bool


@dataclass(frozen=True, slots=True)
class Frame:
    """Size, margins and axes: where a week and a value stand, in pixels."""

    width: int
    plot: float
    left: float
    right: float
    top: float
    bottom: float
    weeks: tuple[float, float]
    values: ValueAxis

    @property
    def height(self) -> float:
        """Height of the whole drawing; the same at every width of the page."""
        return self.top + self.plot + self.bottom

    @property
    def week_width(self) -> float:
        """Pixels a week."""
        return (self.width - self.left - self.right) / (self.weeks[1] - self.weeks[0])

    @property
    def bar_width(self) -> float:
        """Width of a hanging bar, in weeks: about 5 pixels, less where weeks are crowded."""
        return min(5.0, 0.55 * self.week_width) / self.week_width

    def x(self, week: float) -> float:
        """Pixels from the left for a week."""
        return self.left + (week - self.weeks[0]) * self.week_width

    def y(self, value: float) -> float:
        """Pixels from the top for a value."""
        return self.top + (self.values.high - value) / (self.values.high - self.values.low) * self.plot


@dataclass(frozen=True, slots=True)
class Scene:
    """A frame and everything with a place in it."""

    frame: Frame
    week_ticks: tuple[tuple[int, str], ...]
    value_ticks: tuple[tuple[float, str], ...]
    dots: tuple[Dot, ...]
    strip: tuple[StripLabel, ...]
    numbered: tuple[str, ...]
    gutter: tuple[GutterLabel, ...]
    ends: tuple[float, float]
    title_apart: bool

    def wrong(self, chart: SkillChart, dot: Dot) -> float | None:
        """Digits wrong a minute that hang below a dot; none in a chart of accuracy."""
        return chart.points[dot.index].wrong if chart.measure == "rate" else None


def plan(chart: SkillChart, *, width: int = WIDE) -> Scene:
    """Lay a chart out at a width.

    >>> from tracker.charts.description import Point
    >>> from tracker.charts.wording import Words
    >>> scene = plan(SkillChart("Facts", 1, 27, Words(), points=(Point(3, "2026-09-21", "A", rate=9.0),)))
    >>> scene.week_ticks[0], scene.week_ticks[-1], scene.dots[0].value
    ((1, '1'), (27, '27'), 9.0)
    """
    words, axis = chart.words, value_axis(chart)
    ticks = tuple((tick, words.number(abs(tick))) for tick in axis.ticks)
    labels = _gutter_texts(chart, width)
    left = MARGIN + 6 + max(text_width(text, SIZE) for _, text in ticks)
    right = max([10.0, *(8 + text_width(line, SIZE) for lines, _, _ in labels for line in lines)])
    weeks = (chart.first_week - 0.75, chart.last_week + 0.75)
    inner = width - left - right
    flags = _flags(chart, weeks, (left, inner))
    placed = place_flags(flags, size=SIZE, left=left - 2, right=width - MARGIN)
    numbered = () if placed is not None else tuple(flag.text for flag in flags)
    chosen = placed if placed is not None else _number_flags(chart, flags, (left - 2, width - MARGIN))
    rows = max((item.row + 1 for item in chosen), default=0)
    frame = Frame(
        width=width,
        plot=250 if width >= WIDE else 200,
        left=left,
        right=right,
        top=LINE + 10 + rows * LINE + (6 if rows else 0),
        bottom=LINE * 2 + 8,
        weeks=weeks,
        values=_with_lane(axis, 250 if width >= WIDE else 200) if _has_lane(chart) else axis,
    )
    ends, apart = _ends(chart, frame)
    frame = replace(frame, bottom=frame.bottom + LINE) if apart else frame
    return Scene(
        frame=frame,
        week_ticks=_week_ticks(chart, frame),
        value_ticks=ticks,
        dots=_dots(chart, frame),
        strip=tuple(_strip_label(item, frame) for item in chosen),
        numbered=numbered,
        gutter=_apart(labels, frame),
        ends=ends,
        title_apart=apart,
    )


def row_middle(row: int) -> float:
    """Pixels from the top of the plot up to the middle of a label row.

    >>> row_middle(0)
    14.0
    """
    return 6 + LINE * (row + 0.5)


def _has_lane(chart: SkillChart) -> bool:
    return chart.measure == "rate" and any(point.rate is None for point in chart.points)


def _with_lane(axis: ValueAxis, plot: float) -> ValueAxis:
    """Room under the bars for checks without a rate: they have no height, so they get a row of their own."""
    lane = (axis.high - axis.low) * LANE / (plot - LANE)
    return ValueAxis(axis.low - lane, axis.high, axis.ticks)


def _dots(chart: SkillChart, frame: Frame) -> tuple[Dot, ...]:
    lane = frame.values.low + (frame.values.high - frame.values.low) * (LANE * 0.4) / frame.plot
    dots = []
    for index, (point, week) in enumerate(zip(chart.points, place_weeks(chart.points), strict=True)):
        height = chart.height_of(point)
        if height is not None:
            dots.append(Dot(index, week, height, "hollow" if point.set_aside else "dot"))
        elif chart.measure == "rate":
            dots.append(Dot(index, week, lane, "square"))
    return tuple(dots)


def _flags(chart: SkillChart, weeks: tuple[float, float], room: tuple[float, float]) -> tuple[Flag, ...]:
    left, inner = room

    def at(week: float) -> float:
        return left + (week - weeks[0]) * inner / (weeks[1] - weeks[0])

    spans = [Flag(at((span.first + span.last) / 2), span.label, False) for span in (*chart.bands, *chart.breaks)]
    changes = [Flag(at(change.week - 0.5), change.label, True) for change in chart.changes]
    return tuple(sorted((flag for flag in (*spans, *changes) if flag.text), key=lambda flag: flag.at))


def _numbers(chart: SkillChart, flags: tuple[Flag, ...]) -> tuple[Flag, ...]:
    return tuple(Flag(flag.at, chart.words.number(count), flag.stem) for count, flag in enumerate(flags, 1))


def _number_flags(chart: SkillChart, flags: tuple[Flag, ...], ends: tuple[float, float]) -> tuple[Placed, ...]:
    numbers = _numbers(chart, flags)
    found = place_flags(numbers, size=SIZE, left=ends[0], right=ends[1])
    return found if found is not None else stacked(numbers, size=SIZE)


def _strip_label(item: Placed, frame: Frame) -> StripLabel:
    week = frame.weeks[0] + (item.flag.at - frame.left) / frame.week_width
    return StripLabel(week, item.row, item.anchor, item.flag.text, item.flag.stem)


def _week_ticks(chart: SkillChart, frame: Frame) -> tuple[tuple[int, str], ...]:
    length = frame.week_width * (chart.last_week - chart.first_week)
    room = text_width(chart.words.number(chart.last_week), SIZE) + 9
    ticks = week_ticks(chart.first_week, chart.last_week, length=length, room=room)
    return tuple((tick, chart.words.number(tick)) for tick in ticks)


def _gutter_texts(chart: SkillChart, width: int) -> list[tuple[tuple[str, ...], float, bool]]:
    """Lines, value and weight; a narrow chart writes only the mark's number, the rest stands in the key."""
    labels: list[tuple[tuple[str, ...], float, bool]] = []
    if chart.mark:
        value = chart.mark[-1].value * chart.scale
        lines = wrapped(mark_text(chart), SIZE, GUTTER_ROOM) if width >= WIDE else (chart.words.number(value),)
        labels.append((lines, value, True))
    if chart.expected and width >= WIDE:
        end = chart.expected.end * chart.scale
        labels.append((wrapped(chart.expected.label, SIZE, GUTTER_ROOM), end, False))
    return labels


def _apart(labels: list[tuple[tuple[str, ...], float, bool]], frame: Frame) -> tuple[GutterLabel, ...]:
    """The mark's label keeps its height; the other one moves away until neither touches."""
    placed: list[GutterLabel] = []
    for lines, value, strong in labels:
        middle, half = frame.y(value) - frame.top, len(lines) * LINE / 2
        for other in placed:
            room = half + len(other.lines) * LINE / 2
            if abs(middle - other.middle) < room:
                below = middle >= other.middle or other.middle - room < half
                middle = other.middle + (room if below else -room)
        placed.append(GutterLabel(middle, lines, strong))
    return tuple(placed)


def _ends(chart: SkillChart, frame: Frame) -> tuple[tuple[float, float], bool]:
    """Where the words at both ends of time begin and end, and whether the axis's name needs a line of its own.

    They stand under their own week where the name fits between them, else at the edges of the drawing.
    """
    first, last = text_width(chart.start_text, SIZE), text_width(chart.end_text, SIZE)
    half = text_width(chart.words.week_axis, SIZE) / 2 + 10
    middle = (frame.left + frame.width - frame.right) / 2
    edges = (float(MARGIN), float(frame.width - MARGIN))
    own = (
        max(edges[0], frame.x(chart.first_week) - first / 2),
        min(edges[1], frame.x(chart.last_week) + last / 2),
    )
    for start, end in (own, edges):
        if start + first <= middle - half and middle + half <= end - last:
            return (start, end), False
    return edges, True
