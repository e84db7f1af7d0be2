"""The courses of a chart's lines, in weeks and shown values."""

from tracker.charts.description import SkillChart, Span
from tracker.charts.scene import Frame

Path = tuple[tuple[float, float], ...]


def span_edges(span: Span) -> tuple[float, float]:
    """A run of whole weeks from edge to edge.

    >>> span_edges(Span(8, 9, "autumn break"))
    (7.5, 9.5)
    """
    return span.first - 0.5, span.last + 0.5


def mark_line(chart: SkillChart, frame: Frame) -> Path:
    """The mark as a stair: each value holds from just before its first week to the next one."""
    corners: list[tuple[float, float]] = []
    for step in chart.mark:
        start = min(max(step.week - 0.5, frame.weeks[0]), frame.weeks[1])
        corners += [(start, corners[-1][1])] if corners else []
        corners.append((start, step.value * chart.scale))
    return (*corners, (frame.weeks[1], corners[-1][1])) if corners else ()


def expected_line(chart: SkillChart) -> Path:
    """Expected growth, end to end."""
    if chart.expected is None:
        return ()
    line, scale = chart.expected, chart.scale
    return (line.start_week, line.start * scale), (line.end_week, line.end * scale)


def likely_outline(chart: SkillChart) -> Path:
    """The likely range, up one side and back along the other; nothing to shade with fewer than two weeks.

    >>> from tracker.charts.description import Likely
    >>> from tracker.charts.wording import Words
    >>> likely_outline(SkillChart("Facts", 1, 4, Words(), likely=(Likely(1, 7, 11), Likely(2, 8, 12))))
    ((1, 11), (2, 12), (2, 8), (1, 7))
    """
    if len(chart.likely) < 2:
        return ()
    upper = tuple((item.week, item.high * chart.scale) for item in chart.likely)
    lower = tuple((item.week, item.low * chart.scale) for item in chart.likely)
    return (*upper, *reversed(lower))


def base_line(chart: SkillChart, frame: Frame) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """The base line in solid pieces, dotted where there is no school."""
    solid: list[Path] = []
    dotted: list[Path] = []
    at = frame.weeks[0]
    for span in sorted(chart.breaks, key=lambda item: item.first):
        start, end = (min(max(edge, frame.weeks[0]), frame.weeks[1]) for edge in span_edges(span))
        solid += [((at, 0.0), (start, 0.0))] if start > at else []
        dotted += [((max(at, start), 0.0), (end, 0.0))] if end > max(at, start) else []
        at = max(at, end)
    solid += [((at, 0.0), (frame.weeks[1], 0.0))] if at < frame.weeks[1] else []
    return tuple(solid), tuple(dotted)
