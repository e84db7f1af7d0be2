from tests.charts.charts_to_draw import chart
from tracker.charts.description import Likely, Line, Span, Step
from tracker.charts.lines import base_line, expected_line, likely_outline, mark_line
from tracker.charts.scene import plan


def test_the_mark_is_a_stair_from_edge_to_edge():
    drawn = chart(mark=(Step(1, 20), Step(14, 30)))

    assert mark_line(drawn, plan(drawn).frame) == ((0.5, 20), (13.5, 20), (13.5, 30), (27.75, 30))


def test_a_mark_from_before_the_chart_starts_at_its_edge():
    drawn = chart(mark=(Step(-20, 20),))

    assert mark_line(drawn, plan(drawn).frame) == ((0.25, 20), (27.75, 20))


def test_without_mark_or_expectation_nothing_is_drawn():
    drawn = chart(likely=(Likely(1, 7, 9),))

    assert (mark_line(drawn, plan(drawn).frame), expected_line(drawn), likely_outline(drawn)) == ((), (), ())


def test_shares_are_drawn_in_per_cent():
    line = Line(1, 0.5, 27, 0.75, "expected")

    assert expected_line(chart(expected=line, measure="accuracy")) == ((1, 50.0), (27, 75.0))


def test_the_base_line_is_dotted_in_breaks_and_solid_elsewhere():
    drawn = chart(breaks=(Span(17, 18, "winter"), Span(8, 9, "autumn"), Span(27, 27, "spring")))
    solid, dotted = base_line(drawn, plan(drawn).frame)

    assert [(a[0], b[0]) for a, b in solid] == [(0.25, 7.5), (9.5, 16.5), (18.5, 26.5), (27.5, 27.75)]
    assert [(a[0], b[0]) for a, b in dotted] == [(7.5, 9.5), (16.5, 18.5), (26.5, 27.5)]


def test_breaks_that_overlap_are_one():
    drawn = chart(breaks=(Span(8, 10, "a"), Span(9, 9, "b")))
    solid, dotted = base_line(drawn, plan(drawn).frame)

    assert [(a[0], b[0]) for a, b in solid] == [(0.25, 7.5), (10.5, 27.75)]
    assert [(a[0], b[0]) for a, b in dotted] == [(7.5, 10.5)]
