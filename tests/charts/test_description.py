import math

import pytest

from tests.charts.charts_to_draw import chart, point, untimed
from tracker.charts.description import Point, Span, Step


def test_nan_counts_as_missing():
    assert point(1, math.nan, math.nan, accuracy=math.nan).rate is None


@pytest.mark.parametrize(
    "values",
    [{"rate": -1.0}, {"wrong": math.inf}, {"accuracy": 1.01}, {"kind": "untimed"}],
    ids=["negative", "infinite", "more than all", "untimed with a rate"],
)
def test_a_point_refuses_impossible_values(values):
    with pytest.raises(ValueError, match=r"is a finite number|is a share|has no rate"):
        point(1, **values)


@pytest.mark.parametrize("url", ["https://school.example/", "//school.example/", "/\\school.example", "javascript:x"])
def test_a_point_links_only_inside_the_site(url):
    with pytest.raises(ValueError, match="of this site"):
        point(1, url=url)


def test_a_point_needs_a_real_date():
    with pytest.raises(ValueError, match="month must be in"):
        Point(1, "2026-13-01", "A")


def test_points_and_marks_are_put_in_order():
    drawn = chart(point(5), point(2), mark=(Step(9, 30), Step(1, 20)))

    assert [item.week for item in drawn.points] == [2, 5]
    assert [step.value for step in drawn.mark] == [20, 30]


def test_a_check_outside_the_weeks_is_refused():
    with pytest.raises(ValueError, match=r"outside the weeks of the chart: \[28\]"):
        chart(point(28))


def test_weeks_and_spans_run_forward():
    with pytest.raises(ValueError, match="before the first"):
        chart(first_week=9, last_week=3)
    with pytest.raises(ValueError, match="ends before"):
        Span(9, 8, "break")


def test_height_follows_the_measure():
    rate, accuracy = chart(point(1, 9.0, 1.0)), chart(point(1, 9.0, 1.0), measure="accuracy")

    assert rate.height_of(rate.points[0]) == 9.0
    assert accuracy.height_of(accuracy.points[0]) == pytest.approx(90.0)
    assert chart(untimed(1)).height_of(untimed(1)) is None
