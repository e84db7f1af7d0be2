from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures.marks import COMMON_PRACTICE, Mark, at_mark, choose_mark, instructional_range, place, reaches

AUGUST, JANUARY = date(2026, 8, 1), date(2027, 1, 4)
DEFAULT = Mark(0.95, 20, COMMON_PRACTICE, 1, AUGUST, is_default=True)
SKILL = Mark(0.95, 21, "school", 2, AUGUST)
GRADE = Mark(0.95, 22, "school", 3, AUGUST, grade=3)
PUPIL = Mark(0.95, 15, "school", 4, AUGUST, for_pupil=True)


@pytest.mark.parametrize(
    ("candidates", "chosen"),
    [
        ([DEFAULT, SKILL, GRADE, PUPIL], PUPIL),
        ([DEFAULT, SKILL, GRADE], GRADE),
        ([DEFAULT, SKILL], SKILL),
        ([DEFAULT], DEFAULT),
        ([], None),
        ([DEFAULT, replace(GRADE, grade=4)], DEFAULT),
        ([replace(DEFAULT, grade=3), SKILL], SKILL),  # a default stays last, whatever its grade
    ],
)
def test_choose_mark_by_precedence(candidates, chosen):
    assert choose_mark(candidates, on=JANUARY, grade=3) == chosen


def test_choose_mark_takes_the_latest_that_holds_on_the_day():
    later = replace(SKILL, rate=26, version=5, valid_from=JANUARY)
    assert choose_mark([later, SKILL], on=date(2027, 1, 3), grade=None) == SKILL
    assert choose_mark([later, SKILL], on=JANUARY, grade=None) == later
    same_day = replace(later, rate=24, version=6)
    assert choose_mark([same_day, later], on=JANUARY, grade=None) == same_day


def test_choose_mark_without_a_grade_takes_no_mark_of_a_grade():
    assert choose_mark([GRADE], on=JANUARY, grade=None) is None


@given(st.permutations([DEFAULT, SKILL, GRADE, PUPIL]))
def test_choose_mark_whatever_the_order(candidates):
    assert choose_mark(candidates, on=JANUARY, grade=3) == PUPIL


@pytest.mark.parametrize("accuracy", [0, 1.01, -0.1, float("nan")])
def test_mark_refuses_an_accuracy_that_is_no_share(accuracy):
    with pytest.raises(ValueError, match="accuracy is a share"):
        replace(SKILL, accuracy=accuracy)


@pytest.mark.parametrize("rate", [0, -3, float("nan"), float("inf")])
def test_mark_refuses_a_rate_that_is_none(rate):
    with pytest.raises(ValueError, match="rate is above 0, or None"):
        replace(SKILL, rate=rate)


@pytest.mark.parametrize(
    ("rate", "accuracy", "at"),
    [
        (21, 0.95, True), (20.99, 0.95, False), (21, 0.9499, False), (60, 0.5, False),
        (None, 1.0, False), (21, None, False), (21, float("nan"), False),
    ],
)  # fmt: skip
def test_at_mark_needs_accuracy_and_rate(rate, accuracy, at):
    assert at_mark(rate, accuracy, SKILL) is at


def test_at_mark_without_a_rate_in_the_mark():
    assert at_mark(None, 0.95, replace(SKILL, rate=None)) is True


@given(st.integers(1, 400), st.integers(1, 400))
def test_reaches_a_bound_worked_out_another_way(part, total):
    # an exact fraction reaches itself although the division rounds
    assert reaches(part / total, 1 - (total - part) / total) is True
    assert reaches(part / total, 1 - (total - part) / total, exactly="below") is False


# Burns, VanDerHeyden & Jiban 2006, School Psychology Review 35(3) 401-418 (SEEN): 14-31 and 24-49.
@pytest.mark.parametrize(
    ("grade", "rate", "where"),
    [
        (3, 20, "within"), (3, 13, "below"), (3, 14, "within"), (3, 31, "within"), (3, 32, "above"),
        (4, 23, "below"), (4, 24, "within"), (4, 49, "within"), (4, 50, "above"),
        (2, 13.9, "below"), (5, 49.1, "above"), (1, 20, None), (6, 20, None),
    ],
)  # fmt: skip
def test_place_in_the_published_range(grade, rate, where):
    assert place(rate, grade) == where


def test_instructional_range_outside_the_grades_studied():
    assert [instructional_range(grade) for grade in (1, 2, 5, 6)] == [None, (14, 31), (24, 49), None]


@pytest.mark.parametrize("rate", [-1, float("nan")])
def test_place_refuses_what_is_no_rate(rate):
    with pytest.raises(ValueError, match="zero or more digits a minute"):
        place(rate, 3)
