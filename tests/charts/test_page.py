import json
import re

import pytest

from tests.charts.charts_to_draw import busy, chart, kinds, point
from tracker.charts.page import chart_parts
from tracker.charts.palette import DARK, LIGHT


@pytest.mark.parametrize("name", kinds())
def test_parts_hold_two_drawings_and_data_that_can_be_sent(name):
    drawn = kinds()[name]
    parts = chart_parts(drawn, name="own")

    assert [re.search(r'viewBox="0 0 (\d+)', text).group(1) for text in (parts.svg_narrow, parts.svg_wide)] == [
        "300",
        "640",
    ]
    assert json.loads(json.dumps(parts.payload)) == parts.payload
    assert len(parts.payload["points"]) == len(parts.rows) == len(drawn.points)
    assert parts.payload["colours"] == {"light": LIGHT.as_dict(), "dark": DARK.as_dict()}


def test_ids_differ_between_drawings_and_charts():
    texts = [text for name in ("one", "two") for text in _drawings(chart_parts(busy(), name=name))]
    ids = [found for text in texts for found in re.findall(r' id="([^"]+)"', text)]

    assert len(ids) == len(set(ids)) == 8


def test_the_key_says_which_width_needs_a_line():
    lines = [(line.text, line.number, line.only) for line in chart_parts(busy(), name="own").key]

    assert ("digits correct a minute", "", "") in lines
    assert ("mark 30", "", "narrow") in lines
    assert ("expected 0.75 a week", "", "narrow") in lines
    assert [line for line in lines if line[1]] == [
        ("autumn break", "1", "narrow"),
        ("with blocks", "2", "narrow"),
        ("levelled off about here", "3", "narrow"),
        ("small group, blocks", "4", "narrow"),
        ("on squared paper", "5", "narrow"),
    ]


def test_points_carry_what_the_keys_read_out():
    parts = chart_parts(chart(point(2, 9.0, 1.0), point(3, 10.0, 1.0, url=None)), name="own")

    assert [item["url"] for item in parts.payload["points"]] == ["/checks/2/", None]
    assert parts.payload["points"][0]["text"].startswith("Form 2, week 2, 18 September: 9 digits")


def _drawings(parts):
    return parts.svg_narrow, parts.svg_wide
