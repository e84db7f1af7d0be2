import pytest

from tests.charts.charts_to_draw import busy, chart, kinds, point, untimed
from tracker.charts.description import Change, Line, Step
from tracker.charts.scene import NARROW, WIDE, plan


@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_weeks_stand_at_equal_distances_whether_checked_or_not(width):
    frame = plan(chart(point(1), point(2), point(20)), width=width).frame

    assert frame.x(20) - frame.x(2) == pytest.approx(18 * (frame.x(2) - frame.x(1)))
    assert frame.left < frame.x(1)
    assert frame.x(27) < frame.width - frame.right


def test_dots_stand_at_their_rate_with_their_own_shape():
    scene = plan(chart(point(1, 9.0), point(2, 11.0, set_aside=True), untimed(3)))

    assert [(dot.week, dot.shape) for dot in scene.dots] == [(1, "dot"), (2, "hollow"), (3, "square")]
    assert [dot.value for dot in scene.dots[:2]] == [9.0, 11.0]
    assert scene.frame.values.low < scene.dots[2].value < 0


def test_a_check_without_a_rate_hangs_clear_of_the_bars():
    scene = plan(chart(point(1, 9.0, 6.0), untimed(2)))
    frame = scene.frame

    assert frame.y(scene.dots[1].value) - 4 > frame.y(-6.0)


def test_accuracy_has_no_bars_and_no_row_for_missing_rates():
    scene = plan(chart(point(1, 9.0, 1.0), untimed(2), point(3, 0.0, 0.0), measure="accuracy"))

    assert [(dot.week, dot.shape) for dot in scene.dots] == [(1, "dot"), (2, "dot")]
    assert scene.wrong(chart(point(1, 9.0, 1.0), measure="accuracy"), scene.dots[0]) is None


def test_the_narrow_chart_numbers_what_does_not_fit():
    narrow, wide = plan(busy(), width=NARROW), plan(busy(), width=WIDE)

    assert [label.text for label in narrow.strip] == ["1", "2", "3", "4", "5"]
    assert narrow.numbered == (
        "autumn break", "with blocks", "levelled off about here", "small group, blocks", "on squared paper",
    )  # fmt: skip
    assert wide.numbered == ()
    assert sorted(label.text for label in wide.strip) == sorted(narrow.numbered)


def test_teaching_changes_between_two_weeks():
    scene = plan(chart(changes=(Change(18, "blocks"),)))

    assert [label.week for label in scene.strip] == [pytest.approx(17.5)]


@pytest.mark.parametrize("end", [30.0, 29.0, 31.0, 12.0])
def test_the_mark_keeps_its_height_and_the_expectation_moves_away(end):
    scene = plan(chart(mark=(Step(1, 30),), expected=Line(1, 9, 27, end, "expected 0.75 a week")))
    mark, expected = scene.gutter
    touching = (len(mark.lines) + len(expected.lines)) * 16 / 2

    assert mark.middle == pytest.approx(scene.frame.y(30) - scene.frame.top)
    assert abs(expected.middle - mark.middle) >= touching - 1e-6


@pytest.mark.parametrize("name", kinds())
@pytest.mark.parametrize("width", [NARROW, WIDE])
def test_every_dot_and_bar_is_inside_the_plot(name, width):
    drawn = kinds()[name]
    scene = plan(drawn, width=width)
    frame = scene.frame

    for dot in scene.dots:
        assert frame.left <= frame.x(dot.week) <= frame.width - frame.right
        for value in (dot.value, -(scene.wrong(drawn, dot) or 0)):
            assert frame.top - 1 <= frame.y(value) <= frame.top + frame.plot + 1e-6
