"""A chart as a plotly figure: plain dictionaries, ready for JSON, following the same plan as the SVG."""

import textwrap
from html import escape
from typing import Any

from tracker.charts.brush import SIZE, isolated
from tracker.charts.description import SkillChart
from tracker.charts.lines import Path, base_line, expected_line, likely_outline, mark_line, span_edges
from tracker.charts.palette import CLEAR, LIGHT, Palette, coloured
from tracker.charts.scene import LINE, WIDE, Dot, Scene, plan, row_middle
from tracker.charts.words import readout_lines

Json = dict[str, Any]
FONTS = "Andika, Noto Naskh Arabic, sans-serif"
CONFIG: Json = {
    "displaylogo": False,
    "displayModeBar": False,
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": False,
    "showTips": False,
    "modeBarButtonsToRemove": ["toImage", "sendDataToCloud"],
}
HOVER_LETTERS = 36


def figure(chart: SkillChart, *, width: int = WIDE, palette: Palette = LIGHT) -> Json:
    """Draw a chart as a plotly figure in one palette.

    >>> from tracker.charts.wording import Words
    >>> sorted(figure(SkillChart("Facts to 20", 1, 4, Words())))
    ['config', 'data', 'layout']
    """
    drawn: Json = coloured(uncoloured(chart, plan(chart, width=width)), palette)
    return drawn


def uncoloured(chart: SkillChart, scene: Scene) -> Json:
    """The figure with roles ("@ink") in place of colours: the page's script fills in the reader's scheme.

    >>> from tracker.charts.wording import Words
    >>> chart = SkillChart("Facts to 20", 1, 4, Words())
    >>> uncoloured(chart, plan(chart))["layout"]["font"]["color"]
    '@ink_soft'
    """
    return {"data": _traces(chart, scene), "layout": _layout(chart, scene), "config": dict(CONFIG)}


def _traces(chart: SkillChart, scene: Scene) -> list[Json]:
    solid, dotted = base_line(chart, scene.frame)
    base = {"color": "@ink", "width": 1.5}
    return [
        _likely(chart),
        _line("base", _joined(solid), base),
        _line("break", _joined(dotted), {**base, "dash": "1px,4px"}),
        _line("expected", expected_line(chart), {"color": "@ink_soft", "width": 1.5, "dash": "2px,4px"}),
        _line("mark", mark_line(chart, scene.frame), {"color": "@ink", "width": 2}),
        _bars(chart, scene),
        *(_dots(chart, scene, shape) for shape in ("dot", "hollow", "square")),
        _ring(),
    ]


def _line(name: str, path: Any, line: Json) -> Json:
    weeks, values = [at[0] for at in path], [at[1] for at in path]
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "x": weeks,
        "y": values,
        "line": line,
        "hoverinfo": "skip",
    }


def _joined(paths: tuple[Path, ...]) -> list[tuple[float | None, float | None]]:
    """Several pieces as one line; an empty place between two pieces keeps them apart."""
    return [at for path in paths for at in (*path, (None, None))]


def _likely(chart: SkillChart) -> Json:
    trace = _line("likely", likely_outline(chart), {"width": 0})
    return {**trace, "fill": "toself", "fillcolor": "@ink_soft", "opacity": 0.18}


def _bars(chart: SkillChart, scene: Scene) -> Json:
    hanging = [(dot, wrong) for dot in scene.dots if (wrong := scene.wrong(chart, dot))]
    return {
        "type": "bar",
        "name": "wrong",
        "x": [dot.week for dot, _ in hanging],
        "y": [-wrong for _, wrong in hanging],
        "width": scene.frame.bar_width,
        "marker": {"color": "@ink_soft", "line": {"width": 0}},
        "hoverinfo": "skip",
    }


def _dots(chart: SkillChart, scene: Scene, shape: str) -> Json:
    dots = [dot for dot in scene.dots if dot.shape == shape]
    ring = {"color": "@ink", "width": 1.6}
    marker = {
        "dot": {"symbol": "circle", "size": 10, "color": "@ink", "line": {"width": 0}},
        "hollow": {"symbol": "circle", "size": 9, "color": "@paper", "line": ring},
        "square": {"symbol": "square", "size": 8, "color": "@paper", "line": ring},
    }[shape]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": shape,
        "x": [dot.week for dot in dots],
        "y": [dot.value for dot in dots],
        "customdata": [dot.index for dot in dots],
        "hovertext": [_hover(chart, dot) for dot in dots],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "marker": {**marker, "opacity": 1},
        "cliponaxis": False,
    }


def _hover(chart: SkillChart, dot: Dot) -> str:
    lines = (textwrap.wrap(line, HOVER_LETTERS) for line in readout_lines(chart, chart.points[dot.index]))
    return "<br>".join(escape(isolated(part)) for line in lines for part in line)


def _ring() -> Json:
    """Round the check that the keys have reached; the page's script moves it."""
    marker = {"symbol": "circle-open", "size": 18, "color": "@action", "line": {"color": "@action", "width": 2.5}}
    ring = {"type": "scatter", "mode": "markers", "name": "ring", "x": [], "y": [], "marker": marker}
    return {**ring, "hoverinfo": "skip", "cliponaxis": False}


def _layout(chart: SkillChart, scene: Scene) -> Json:
    frame = scene.frame
    return {
        "height": round(frame.height),
        "autosize": True,
        "margin": {"l": frame.left, "r": frame.right, "t": frame.top, "b": frame.bottom, "pad": 0, "autoexpand": False},
        "paper_bgcolor": CLEAR,
        "plot_bgcolor": CLEAR,
        "font": {"family": FONTS, "size": SIZE, "color": "@ink_soft"},
        "showlegend": False,
        "hovermode": "closest",
        "hoverdistance": 24,
        "hoverlabel": {
            "bgcolor": "@sheet",
            "bordercolor": "@ink_soft",
            "align": "left",
            "font": {"family": FONTS, "size": 14, "color": "@ink"},
            "namelength": 0,
        },
        "dragmode": False,
        "barmode": "overlay",
        "xaxis": _axis([frame.weeks[0], frame.weeks[1]], scene.week_ticks),
        "yaxis": _axis([frame.values.low, frame.values.high], scene.value_ticks),
        "shapes": [*_spans(chart), *_stems(scene)],
        "annotations": [*_strip(scene), *_gutter(scene), *_ends(chart, scene)],
    }


def _axis(span: list[float], ticks: tuple[tuple[float, str], ...]) -> Json:
    return {
        "range": span,
        "tickvals": [value for value, _ in ticks],
        "ticktext": [text for _, text in ticks],
        "tickmode": "array",
        "tickangle": 0,
        "ticks": "",
        "ticklabelstandoff": 2,
        "showgrid": False,
        "zeroline": False,
        "showline": False,
        "fixedrange": True,
    }


def _spans(chart: SkillChart) -> list[Json]:
    runs = (*((span, "@wash") for span in chart.breaks), *((span, "@band") for span in chart.bands))
    return [
        {
            "type": "rect",
            "xref": "x",
            "yref": "paper",
            "x0": span_edges(span)[0],
            "x1": span_edges(span)[1],
            "y0": 0,
            "y1": 1,
            "fillcolor": colour,
            "line": {"color": "@line", "width": 1},
            "layer": "below",
        }
        for span, colour in runs
    ]


def _stems(scene: Scene) -> list[Json]:
    frame = scene.frame
    floor = 1 - (frame.y(0) - frame.top) / frame.plot
    tops = [(item.week, 1 + (row_middle(item.row) + SIZE / 2) / frame.plot) for item in scene.strip if item.stem]
    line = {"color": "@action", "width": 2}
    ends = {"type": "line", "xref": "x", "yref": "paper", "layer": "below", "line": line}
    return [{**ends, "x0": week, "x1": week, "y0": floor, "y1": top} for week, top in tops]


def _strip(scene: Scene) -> list[Json]:
    sides = {"start": ("left", 4), "middle": ("center", 0), "end": ("right", -4)}
    return [
        {
            **_note(item.text, "@action" if item.stem else "@ink_soft"),
            "xref": "x",
            "yref": "paper",
            "x": item.week,
            "y": 1,
            "xanchor": sides[item.anchor][0],
            "xshift": sides[item.anchor][1],
            "yanchor": "middle",
            "yshift": row_middle(item.row),
        }
        for item in scene.strip
    ]


def _gutter(scene: Scene) -> list[Json]:
    return [
        {
            **_note(line, "@ink" if label.strong else "@ink_soft", bold=label.strong),
            "xref": "paper",
            "yref": "paper",
            "x": 1,
            "y": 1,
            "xanchor": "left",
            "xshift": 6,
            "yanchor": "middle",
            "yshift": -(label.middle + LINE * (count - (len(label.lines) - 1) / 2)),
        }
        for label in scene.gutter
        for count, line in enumerate(label.lines)
    ]


def _ends(chart: SkillChart, scene: Scene) -> list[Json]:
    """The axis's name at the top, and both ends of time with the week axis's name beneath."""
    frame, words = scene.frame, chart.words
    first, last = scene.ends
    below = LINE * 1.9
    name = words.accuracy_axis if chart.measure == "accuracy" else words.rate_axis
    texts = (
        (name, 0, "left", 4 - frame.left, frame.top - LINE * 0.6, 1),
        (chart.start_text, 0, "left", first - frame.left, -below, 0),
        (chart.end_text, 1, "right", last - (frame.width - frame.right), -below, 0),
        (words.week_axis, 0.5, "center", 0, -below - (LINE if scene.title_apart else 0), 0),
    )
    return [
        {
            **_note(text, "@ink_soft"),
            "xref": "paper",
            "yref": "paper",
            "x": x,
            "y": y,
            "xanchor": anchor,
            "xshift": xshift,
            "yanchor": "middle",
            "yshift": yshift,
        }
        for text, x, anchor, xshift, yshift, y in texts
        if text
    ]


def _note(text: str, colour: str, *, bold: bool = False) -> Json:
    """A label; weight comes from its font, because plotly writes <b> as an inline style, which the pages forbid."""
    font = {"color": colour, "size": SIZE, "family": FONTS, "weight": 700 if bold else 400}
    return {"text": escape(isolated(text)), "showarrow": False, "font": font, "borderpad": 0}
