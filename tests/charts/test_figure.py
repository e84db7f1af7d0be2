import json
import re
from dataclasses import replace
from xml.etree import ElementTree

import plotly.graph_objects as go
import pytest

from tests.charts.charts_to_draw import busy, chart, kinds, point
from tracker.charts.description import Change
from tracker.charts.figure import figure, uncoloured
from tracker.charts.palette import DARK, LIGHT
from tracker.charts.scene import NARROW, WIDE, plan
from tracker.charts.svg import svg

SVG = "{http://www.w3.org/2000/svg}"


def trace(drawn: dict, name: str) -> dict:
    return next(trace for trace in drawn["data"] if trace["name"] == name)


@pytest.mark.parametrize("name", kinds())
@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_plotly_accepts_every_figure(name, width):
    drawn = figure(kinds()[name], width=width)
    checked = go.Figure(data=drawn["data"], layout=drawn["layout"])

    assert len(checked.data) == len(drawn["data"]) == 10
    assert json.loads(json.dumps(drawn)) == drawn


@pytest.mark.parametrize("name", kinds())
@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_both_renderers_put_every_check_at_the_same_place(name, width):
    drawing = kinds()[name]
    drawn, root = figure(drawing, width=width), ElementTree.fromstring(svg(drawing, width=width))  # noqa: S314
    layout, margin = drawn["layout"], drawn["layout"]["margin"]

    def pixels(x: float, y: float) -> tuple[float, float]:
        (x0, x1), (y0, y1) = layout["xaxis"]["range"], layout["yaxis"]["range"]
        across, down = width - margin["l"] - margin["r"], layout["height"] - margin["t"] - margin["b"]
        return margin["l"] + (x - x0) / (x1 - x0) * across, margin["t"] + (y1 - y) / (y1 - y0) * down

    by_plotly = [pixels(*at) for name in ("dot", "hollow") for at in _places(drawn, name)]
    by_svg = [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in root.iter(f"{SVG}circle")]
    assert len(by_plotly) == len(by_svg)
    for one, other in zip(sorted(by_plotly), sorted(by_svg), strict=True):
        assert one == pytest.approx(other, abs=0.6)
    bars = [pixels(x, y) for x, y in _places(drawn, "wrong")]
    hanging = [
        (float(r.attrib["x"]) + float(r.attrib["width"]) / 2, float(r.attrib["y"]) + float(r.attrib["height"]))
        for r in root.iter(f"{SVG}rect")
        if r.attrib["class"] == "fill-ink_soft"
    ]
    for one, other in zip(sorted(bars), sorted(hanging), strict=True):
        assert one == pytest.approx(other, abs=0.6)


def _places(drawn: dict, name: str) -> list[tuple[float, float]]:
    return list(zip(trace(drawn, name)["x"], trace(drawn, name)["y"], strict=True))


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_both_renderers_write_the_same_words(width):
    drawing = busy()
    drawn, root = figure(drawing, width=width), ElementTree.fromstring(svg(drawing, width=width))  # noqa: S314
    layout = drawn["layout"]
    by_plotly = [note["text"] for note in layout["annotations"]]
    by_plotly += [*layout["xaxis"]["ticktext"], *layout["yaxis"]["ticktext"]]

    assert sorted(by_plotly) == sorted(text.text or "" for text in root.iter(f"{SVG}text"))


def test_lines_and_colours_follow_the_design():
    drawn = figure(busy(), palette=DARK)

    assert trace(drawn, "mark")["line"] == {"color": DARK.ink, "width": 2}
    assert trace(drawn, "expected")["line"]["dash"] == "2px,4px"
    assert trace(drawn, "likely")["fill"] == "toself"
    assert trace(drawn, "dot")["marker"]["color"] == DARK.ink
    assert trace(drawn, "hollow")["marker"]["color"] == DARK.paper
    assert max(trace(drawn, "wrong")["y"]) < 0
    assert [drawn["layout"][axis]["showgrid"] for axis in ("xaxis", "yaxis")] == [False, False]
    assert drawn["layout"]["paper_bgcolor"] == drawn["layout"]["plot_bgcolor"] == "rgba(0,0,0,0)"
    assert drawn["layout"]["font"]["family"].startswith("Andika")


def test_nothing_is_offered_that_leaves_the_page():
    config = figure(busy())["config"]

    assert (config["displaylogo"], config["displayModeBar"], config["responsive"]) == (False, False, True)
    assert {"toImage", "sendDataToCloud"} <= set(config["modeBarButtonsToRemove"])


def test_hover_names_the_check_and_words_stay_words():
    drawing = chart(replace(point(2, 9.0, 1.0), label="<a href='x'>Form & C</a>"), changes=(Change(3, "<b>blocks"),))
    drawn = figure(drawing)

    assert trace(drawn, "dot")["hovertext"] == [
        "&lt;a href=&#x27;x&#x27;&gt;Form &amp; C&lt;/a&gt;, week 2, 18<br>September<br>9 digits correct a minute"
        "<br>1 wrong a minute<br>accuracy 90 %"
    ]
    assert trace(drawn, "dot")["customdata"] == [0]
    assert "&lt;b&gt;blocks" in [note["text"] for note in drawn["layout"]["annotations"]]


@pytest.mark.parametrize("name", kinds())
def test_no_label_asks_plotly_for_markup(name):
    """Plotly turns <b> and <span> into inline styles, which the content policy refuses."""
    for note in figure(kinds()[name])["layout"]["annotations"]:
        assert re.search(r"<", note["text"]) is None


def test_roles_stand_in_place_of_colours_until_the_page_chooses():
    roles = set(re.findall(r'"@(\w+)"', json.dumps(uncoloured(busy(), plan(busy())))))

    assert roles == {"ink", "ink_soft", "paper", "sheet", "line", "action", "wash", "band"}
    assert "@" not in json.dumps(figure(busy(), palette=LIGHT))
