from hypothesis import given
from hypothesis import strategies as st

from tracker.charts.placing import Flag, place_flags, stacked, text_width, wrapped

# COMPUTED: sums of the advance widths of the Andika that static/fonts holds (regular), in em.
ADVANCE = {"mark 30": 3.76, "levelled off about here": 10.38, "small group, base-ten blocks": 13.16}

flags = st.lists(
    st.builds(
        Flag,
        at=st.floats(30, 500),
        text=st.sampled_from(["break", "with blocks", "small group, base-ten blocks", "levelled off about here"]),
        stem=st.booleans(),
    ),
    max_size=5,
)


@given(flags)
def test_no_label_covers_another_or_is_crossed(flags):
    placed = place_flags(flags, size=13, left=0, right=640) or ()

    for one in placed:
        assert one.start >= 0
        assert one.end <= 640
        for other in placed:
            if other is one:
                continue
            assert one.row != other.row or one.end <= other.start or other.end <= one.start
            crossed = one.flag.stem and one.row >= other.row and other.start < one.flag.at < other.end
            assert not crossed


def test_labels_that_cannot_stand_apart_are_not_placed():
    same = tuple(Flag(150.0, "small group, base-ten blocks", True) for _ in range(4))

    assert place_flags(same, size=13, left=0, right=300) is None


def test_many_labels_are_numbered_rather_than_searched():
    assert place_flags([Flag(40.0 * at, "x", False) for at in range(6)], size=13, left=0, right=640) is None


def test_stacked_keeps_order_when_rows_run_out():
    placed = stacked([Flag(50.0, str(count), True) for count in range(5)], size=13)

    assert [item.row for item in placed] == [0, 1, 2, 2, 2]


def test_a_run_moves_aside_for_a_stem_rather_than_up():
    placed = place_flags((Flag(100, "levelled off", False), Flag(108, "blocks", True)), size=13, left=0, right=640)

    assert [(item.row, item.anchor) for item in placed or ()] == [(0, "end"), (0, "start")]


def test_wrapping_keeps_every_word_and_balances():
    assert wrapped("expected 0.75 a week", 13, 104) == ("expected", "0.75 a week")
    assert wrapped("extraordinarily", 13, 20) == ("extraordinarily",)
    assert wrapped("", 13, 20) == ()


def test_an_estimate_is_never_too_small():
    for text, ems in ADVANCE.items():
        assert ems <= text_width(text, 1) <= ems * 1.2
