import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import pytest

from tests.charts.charts_to_draw import busy, chart, kinds, point
from tracker.charts.brush import SHAPES, SIZE
from tracker.charts.description import Change, Step
from tracker.charts.palette import DARK, PRINT
from tracker.charts.placing import text_width
from tracker.charts.scene import NARROW, WIDE
from tracker.charts.svg import key_shape, svg

SVG = "{http://www.w3.org/2000/svg}"


def parsed(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)  # noqa: S314 - drawn by the line above


def boxes(root: ElementTree.Element) -> dict[tuple[str, str, str], tuple[float, float, float, float]]:
    """Each line of words with the box that it fills, estimated."""
    found = {}
    for text in root.iter(f"{SVG}text"):
        width = text_width(text.text or "", SIZE)
        x = float(text.attrib["x"]) - {"start": 0, "middle": width / 2, "end": width}[text.attrib["text-anchor"]]
        middle = float(text.attrib["y"]) - SIZE * 0.35
        found[text.text or "", text.attrib["x"], text.attrib["y"]] = (x, middle - 7, x + width, middle + 7)
    return found


@pytest.mark.parametrize("name", kinds())
@pytest.mark.parametrize("width", [NARROW, WIDE])
@pytest.mark.parametrize("with_key", [False, True])
def test_no_words_touch_and_none_leaves_the_drawing(name, width, with_key):
    root = parsed(svg(kinds()[name], width=width, with_key=with_key))
    _, _, right, bottom = (float(value) for value in root.attrib["viewBox"].split())

    for box in boxes(root).values():
        assert box[0] >= -0.5
        assert box[2] <= right + 0.5
        assert box[1] >= 0
        assert box[3] <= bottom
    for (one, a), (other, b) in combinations(boxes(root).items(), 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, f"{one} touches {other}"


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_no_stem_runs_through_words(width):
    root = parsed(svg(busy(), width=width))
    stems = [line.attrib for line in root.iter(f"{SVG}line") if line.attrib["class"] == "stroke-action"]

    assert len(stems) == 3
    for stem in stems:
        for words, (left, top, right, bottom) in boxes(root).items():
            crossed = left < float(stem["x1"]) < right and top < float(stem["y2"]) and float(stem["y1"]) < bottom
            assert not crossed, words


def test_nothing_a_content_policy_would_refuse():
    drawn = "".join(svg(drawing, with_key=True) for drawing in kinds().values())

    assert re.findall(r"<script|<style|style=|\son\w+=|href|javascript:|<image|url\(", drawn) == []


def test_words_are_escaped():
    drawn = svg(replace(busy(), title="<b>&", changes=(Change(12, "<i>&amp;"),), trend="</desc><script>"))
    root = parsed(drawn)

    assert root.findtext(f"{SVG}title") == "<b>&"
    assert "<i>&amp;" in [text.text for text in root.iter(f"{SVG}text")]
    assert root.find(f"{SVG}script") is None


def test_it_is_an_image_with_name_and_description():
    root = parsed(svg(chart(point(2, 9.0), mark=(Step(1, 30),)), name="own"))
    described = {element.attrib["id"]: element.text for element in root if "id" in element.attrib}

    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"].split() == ["own-title", "own-desc"]
    assert described == {
        "own-title": "Subtract with regrouping",
        "own-desc": "Checks shown: 1. Week 2: 9. Mark now: 30.",
    }


def test_time_runs_left_to_right_in_every_language_with_both_ends_labelled():
    for name in ("busy", "right to left"):
        root = parsed(svg(kinds()[name]))
        places = {text.text: float(text.attrib["x"]) for text in root.iter(f"{SVG}text")}
        assert root.attrib["direction"] == "ltr"
        assert places["7 Sep 2026"] < places["12 Mar 2027"]


def test_right_to_left_words_keep_their_own_order():
    texts = [text.text or "" for text in parsed(svg(kinds()["right to left"])).iter(f"{SVG}text")]

    assert "\u2068أسبوع المدرسة\u2069" in texts
    assert all(not text.startswith("\u2068") for text in texts if text.isascii())


def test_a_palette_colours_everything():
    drawn = svg(busy(), palette=PRINT, with_key=True)

    assert set(re.findall(r"#[0-9a-f]{6}", drawn)) <= set(PRINT.as_dict().values())
    assert DARK.ink in svg(busy(), palette=DARK)


def test_every_kind_of_mark_is_drawn_once_a_check():
    root = parsed(svg(busy()))
    circles = [circle.attrib["class"] for circle in root.iter(f"{SVG}circle")]
    rects = [rect.attrib["class"] for rect in root.iter(f"{SVG}rect")]

    assert (circles.count("fill-ink"), circles.count("fill-paper stroke-ink")) == (13, 1)
    assert (rects.count("fill-ink_soft"), rects.count("fill-paper stroke-ink")) == (14, 1)
    assert (rects.count("fill-wash"), rects.count("fill-band")) == (1, 1)


@pytest.mark.parametrize("shape", SHAPES)
def test_each_shape_of_the_key_differs_and_is_hidden_from_readers(shape):
    drawn = key_shape(shape)

    assert parsed(drawn.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ')).attrib["aria-hidden"] == "true"
    assert [other for other in SHAPES if key_shape(other) == drawn] == [shape]
