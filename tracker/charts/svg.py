"""A chart as SVG: for paper, for notes and for a page without scripts."""

from html import escape

from tracker.charts.brush import SIZE, Brush
from tracker.charts.description import SkillChart
from tracker.charts.lines import Path, base_line, expected_line, likely_outline, mark_line, span_edges
from tracker.charts.palette import LIGHT, Palette
from tracker.charts.placing import text_width
from tracker.charts.scene import LINE, MARGIN, WIDE, Frame, Scene, plan, row_middle
from tracker.charts.words import KeyEntry, facts, key, setting_facts

FONTS = "Andika, 'Doublerule Letters', 'Noto Naskh Arabic', sans-serif"


def svg(
    chart: SkillChart, *, name: str = "chart", width: int = WIDE, palette: Palette = LIGHT, with_key: bool = False
) -> str:
    """Draw a chart as one SVG element; `name` keeps ids apart on a page, `with_key` adds the key beneath.

    >>> from tracker.charts.wording import Words
    >>> svg(SkillChart("Facts to 20", 1, 4, Words())).startswith("<svg ")
    True
    """
    scene = plan(chart, width=width)
    return svg_of(chart, scene, name=name, palette=palette, entries=key_entries(chart, scene) if with_key else ())


def svg_of(chart: SkillChart, scene: Scene, *, name: str, palette: Palette, entries: tuple[KeyEntry, ...] = ()) -> str:
    """Draw a chart that is already laid out; `entries` stand beneath as its key.

    >>> from tracker.charts.wording import Words
    >>> chart = SkillChart("Facts to 20", 1, 4, Words())
    >>> '<title id="a-title">Facts to 20</title>' in svg_of(chart, plan(chart), name="a", palette=LIGHT)
    True
    """
    brush, width = Brush(palette), scene.frame.width
    legend, extra = _legend(entries, brush, scene.frame)
    height = round(scene.frame.height + extra)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="chart-svg" viewBox="0 0 {width} {height}" width="{width}" '
        f'height="{height}" role="img" aria-labelledby="{name}-title {name}-desc" direction="ltr" '
        f'font-family="{FONTS}" font-size="{SIZE}">'
        f'<title id="{name}-title">{escape(chart.title)}</title>'
        f'<desc id="{name}-desc">{escape(" ".join((*facts(chart), *setting_facts(chart))))}</desc>'
    )
    layers = (_spans, _likely, _lines, _bars, _changes, _points, _axes, _labels)
    return head + "".join(layer(chart, scene, brush) for layer in layers) + legend + "</svg>"


def key_shape(shape: str, *, palette: Palette = LIGHT) -> str:
    """One shape of the key as a small SVG, hidden from screen readers because its words stand beside it.

    >>> "circle" in key_shape("dot")
    True
    """
    drawn = Brush(palette).key(shape, 12, 8)
    return f'<svg class="chart-key-shape" viewBox="0 0 24 16" width="24" height="16" aria-hidden="true">{drawn}</svg>'


def key_entries(chart: SkillChart, scene: Scene) -> tuple[KeyEntry, ...]:
    """The key at one width: where labels don't fit above the plot they are numbered, and stand here.

    >>> from tracker.charts.wording import Words
    >>> chart = SkillChart("Facts", 1, 4, Words())
    >>> [entry.shape for entry in key_entries(chart, plan(chart))]
    ['dot']
    """
    named = {line for label in scene.gutter for line in [" ".join(label.lines)]}
    entries = (entry for entry in key(chart) if entry.text not in named)
    numbers = (chart.words.number(count) for count in range(1, len(scene.numbered) + 1))
    return (*entries, *(KeyEntry(number, text) for number, text in zip(numbers, scene.numbered, strict=True)))


def _spans(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    frame = scene.frame
    drawn = []
    for span, role in (*((item, "wash") for item in chart.breaks), *((item, "band") for item in chart.bands)):
        start, end = (frame.x(week) for week in span_edges(span))
        drawn.append(brush.rect((start, frame.top, end - start, frame.plot), brush.fill(role)))
        drawn += [
            brush.line((at, frame.top, at, frame.top + frame.plot), brush.stroke("line", 1)) for at in (start, end)
        ]
    return "".join(drawn)


def _likely(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    outline = likely_outline(chart)
    return f'<path d="{_path(outline, scene.frame)}Z" {brush.fill("ink_soft")} fill-opacity="0.18"/>' if outline else ""


def _lines(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    frame = scene.frame
    solid, dotted = base_line(chart, frame)
    paths = (
        *((part, brush.stroke("ink", 1.5)) for part in solid),
        *((part, brush.stroke("ink", 1.5, "1 4")) for part in dotted),
        (expected_line(chart), brush.stroke("ink_soft", 1.5, "2 4")),
        (mark_line(chart, frame), brush.stroke("ink", 2)),
    )
    return "".join(f'<path d="{_path(points, frame)}" {paint}/>' for points, paint in paths if points)


def _bars(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    frame = scene.frame
    width = frame.bar_width * frame.week_width
    return "".join(
        brush.rect(
            (frame.x(dot.week) - width / 2, frame.y(0), width, frame.y(-wrong) - frame.y(0)), brush.fill("ink_soft")
        )
        for dot in scene.dots
        if (wrong := scene.wrong(chart, dot))
    )


def _changes(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    frame = scene.frame
    return "".join(
        brush.line(
            (frame.x(item.week), frame.top - _stem(item.row), frame.x(item.week), frame.y(0)), brush.stroke("action", 2)
        )
        for item in scene.strip
        if item.stem
    )


def _stem(row: int) -> float:
    return row_middle(row) + SIZE * 0.5


def _points(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    return "".join(brush.dot(scene.frame.x(dot.week), scene.frame.y(dot.value), dot.shape) for dot in scene.dots)


def _axes(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    frame, words = scene.frame, chart.words
    floor, (first, last) = frame.top + frame.plot, scene.ends
    ticks = [brush.text((frame.left - 6, frame.y(value)), text, anchor="end") for value, text in scene.value_ticks]
    ticks += [
        brush.text((frame.x(week), floor + LINE * 0.75), text, anchor="middle") for week, text in scene.week_ticks
    ]
    axis = words.accuracy_axis if chart.measure == "accuracy" else words.rate_axis
    ends = floor + LINE * 1.9
    middle = (frame.left + frame.width - frame.right) / 2
    return "".join((
        *ticks,
        brush.text((MARGIN, LINE * 0.6), axis),
        brush.text((first, ends), chart.start_text),
        brush.text((last, ends), chart.end_text, anchor="end"),
        brush.text((middle, ends + (LINE if scene.title_apart else 0)), words.week_axis, anchor="middle"),
    ))  # fmt: skip


def _labels(chart: SkillChart, scene: Scene, brush: Brush) -> str:
    frame = scene.frame
    shift = {"start": 4, "middle": 0, "end": -4}
    drawn = [
        brush.text(
            (frame.x(item.week) + shift[item.anchor], frame.top - row_middle(item.row)),
            item.text,
            role="action" if item.stem else "ink_soft",
            anchor=item.anchor,
        )
        for item in scene.strip
    ]
    for label in scene.gutter:
        for count, words in enumerate(label.lines):
            height = frame.top + label.middle + LINE * (count - (len(label.lines) - 1) / 2)
            at = (frame.width - frame.right + 6, height)
            drawn.append(brush.text(at, words, role="ink" if label.strong else "ink_soft", bold=label.strong))
    return "".join(drawn)


def _legend(entries: tuple[KeyEntry, ...], brush: Brush, frame: Frame) -> tuple[str, float]:
    """The key under the drawing, as many entries a line as fit; its marks and its height."""
    drawn, x, y = [], float(MARGIN), frame.height + LINE
    for entry in entries:
        wide = 30 + text_width(entry.text, SIZE)
        if x > MARGIN and x + wide > frame.width - MARGIN:
            x, y = float(MARGIN), y + LINE + 4
        drawn += [brush.key(entry.shape, x + 11, y), brush.text((x + 28, y), entry.text)]
        x += wide + 14
    return "".join(drawn), (y + LINE - frame.height if entries else 0)


def _path(points: Path, frame: Frame) -> str:
    return "M" + "L".join(f"{frame.x(week):.1f},{frame.y(value):.1f}" for week, value in points)
