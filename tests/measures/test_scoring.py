from dataclasses import astuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures.scoring import DigitScore, score_digits, score_last_item, score_parts
from tracker.measures.sheets import timed_sheet

KEYS = st.integers(0, 99_999)
ANSWERS = st.none() | st.integers(0, 999_999) | st.text("0123456789?_", max_size=7)

# Source: trade-digits-table (COMPUTED by the right-aligned rule): key, written, correct, possible, wrong.
TABLE = [
    (36, "36", 2, 2, 0),
    (36, "44", 0, 2, 2),
    (36, "46", 1, 2, 1),
    (25, "35", 1, 2, 1),
    (85, "75", 1, 2, 1),
    (85, "715", 1, 2, 2),
    (452, "548", 0, 3, 3),
    (452, "462", 2, 3, 1),
    (452, "52", 2, 3, 0),
    (7, None, 0, 1, 0),
    (7, "07", 1, 1, 0),
    (31, "21", 1, 2, 1),
    (408, "408", 3, 3, 0),
]


@pytest.mark.parametrize(("key", "written", "correct", "possible", "wrong"), TABLE)
def test_digits_of_the_table(key, written, correct, possible, wrong):
    score = score_digits(key, written)

    assert (score.correct, score.possible, score.wrong) == (correct, possible, wrong)


@pytest.mark.parametrize(("written", "correct"), [(2361, 4), (2461, 3), (2441, 2)])
def test_digits_of_the_four_digit_example(written, correct):
    # Source: fuchs-guidance (MEMORY; agrees with the rule, COMPUTED): 4507 - 2146 = 2361.
    assert score_digits(2361, written).correct == correct


def test_quotient_and_remainder_are_scored_from_the_left():
    # Source: fuchs-guidance (MEMORY): key 403 R 52, pupil 43 R 5 gives 2; quotient 1, remainder 1.
    assert score_digits(403, 43, align="left").correct == 1
    assert score_digits(52, 5, align="left").correct == 1
    assert astuple(score_parts([403, 52], [43, 5], align="left")) == (2, 1, 2, 5)


def test_mixed_number_is_scored_part_by_part():
    # Source: fuchs-guidance (MEMORY): key 6 7/12, pupil 6 8/11 gives 2.
    assert score_parts([6, 7, 12], [6, 8, 11]).correct == 2


def test_working_is_scored_line_by_line_with_its_place_holder():
    # Source: trade-digits-table (COMPUTED): 12 x 34 with working 48 / 360 / 408 gives 8 of 8, the answer alone 3.
    assert astuple(score_parts([48, 360, 408], [48, 360, 408])) == (8, 0, 0, 8)
    assert astuple(score_parts([48, 360, 408], [48, 36])) == (2, 2, 4, 8)


def test_turned_numeral_is_wrong_and_reversed_one_is_typed_as_meant():
    # Source: fuchs-2005-slides (SEEN): 6 written as 9 reads as another numeral; a reversed 3 still counts.
    assert astuple(score_digits(36, "39")) == (1, 1, 0, 2)
    assert astuple(score_digits(36, "36")) == (2, 0, 0, 2)


def test_illegible_numeral_is_wrong_and_empty_place_is_left_out():
    # Source: uncw-slides (SEEN): an illegible digit is incorrect; correct digits of an unfinished answer count.
    assert astuple(score_digits(452, "4?2")) == (2, 1, 0, 3)
    assert astuple(score_digits(452, "4_2")) == (2, 0, 1, 3)
    assert astuple(score_digits(452, "_52")) == (2, 0, 1, 3)


@pytest.mark.parametrize("blank", [None, "", "  ", "_"])
def test_blank_is_left_out(blank):
    assert astuple(score_digits(36, blank)) == (0, 0, 2, 2)


def test_zero_is_a_digit():
    assert astuple(score_digits(0, 0)) == (1, 0, 0, 1)
    assert astuple(score_digits(0, "00")) == (1, 0, 0, 1)
    assert astuple(score_digits(50, "50")) == (2, 0, 0, 2)
    assert astuple(score_digits(6, "0")) == (0, 1, 0, 1)


def test_leading_zeros_count_only_when_asked():
    # No source says what to do with a zero in front: stripped unless the argument says otherwise.
    assert astuple(score_digits(7, "07", strip_leading_zeros=False)) == (1, 1, 0, 1)
    assert astuple(score_digits("007", "7")) == (1, 0, 0, 1)
    assert astuple(score_digits(70, "007", align="left")) == (1, 0, 1, 2)


@given(KEYS, ANSWERS, st.sampled_from(("left", "right")))
def test_every_place_is_counted_once(key, written, align):
    score = score_digits(key, written, align=align)
    extra = score.correct + score.wrong + score.omitted - score.possible

    assert score.possible == len(str(key))
    assert min(astuple(score)) >= 0
    assert 0 <= extra <= 7
    assert extra == 0 or score.wrong >= extra


@given(KEYS)
def test_right_answer_earns_every_digit(key):
    assert astuple(score_digits(key, str(key))) == (len(str(key)), 0, 0, len(str(key)))


@pytest.mark.parametrize(
    ("key", "written", "align", "message"),
    [
        ("", 3, "right", "the key must be a number in numerals, not ''"),
        ("4R2", 3, "right", "the key must be a number in numerals, not '4R2'"),
        (-4, 3, "right", "the key must be a number in numerals, not -4"),
        (4, "3,5", "right", "an answer holds numerals, ? for an unreadable one and _ for an empty place, not '3,5'"),
        (4, "٤", "right", "an answer holds numerals, ? for an unreadable one and _ for an empty place, not '٤'"),
        (4, -3, "right", "an answer holds numerals, ? for an unreadable one and _ for an empty place, not -3"),
        (4, 3, "middle", "align must be right or left, not 'middle'"),
    ],
)
def test_what_is_no_number_is_refused(key, written, align, message):
    with pytest.raises(ValueError) as refusal:  # noqa: PT011 the whole message is compared
        score_digits(key, written, align=align)

    assert str(refusal.value) == message


def test_parts_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="there is no number to score"):
        score_parts([], [])
    with pytest.raises(ValueError, match="2 numbers were written where the key has 1"):
        score_parts([4], [4, 5])


def test_scores_add_up():
    assert DigitScore(2, 1, 0, 3) + DigitScore(1, 0, 1, 2) == DigitScore(3, 1, 1, 5)


@pytest.mark.parametrize(
    ("last_item", "wrong", "left_out", "expected"),
    [(3, 1, 0, (5, 1, 0, 6)), (3, 1, 2, (3, 1, 2, 6)), (4, 9, 0, (0, 9, 0, 9)), (0, 0, 0, (0, 0, 0, 0))],
)
def test_last_item_gives_three_counts(last_item, wrong, left_out, expected):
    assert astuple(score_last_item([2, 4, 6, 9], last_item, wrong=wrong, left_out=left_out)) == expected


@given(st.data())
def test_last_item_agrees_with_scoring_every_answer(data):
    sheet = timed_sheet("sub-3d-regroup", data.draw(st.integers(1, 5)))
    last_item = data.draw(st.integers(0, len(sheet.problems)))
    answers = [data.draw(st.sampled_from((problem.answer, 111, None))) for problem in sheet.problems[:last_item]]

    whole = DigitScore(0, 0, 0, 0)
    for problem, answer in zip(sheet.problems, answers, strict=False):
        whole += score_digits(problem.answer, answer)

    assert score_last_item(sheet.running_digits, last_item, wrong=whole.wrong, left_out=whole.omitted) == whole


@pytest.mark.parametrize(
    ("running", "last_item", "wrong", "left_out", "message"),
    [
        ([2, 4], 3, 0, 0, "the sheet has items 1 to 2, not 3"),
        ([2, 4], -1, 0, 0, "the sheet has items 1 to 2, not -1"),
        ([2, 4], 1, -1, 0, "a count of digits can't be negative: -1 wrong, 0 left out"),
        ([2, 4], 1, 0, -1, "a count of digits can't be negative: 0 wrong, -1 left out"),
        ([2, 4], 1, 2, 1, "2 wrong and 1 left out are more than the 2 digits up to that item"),
        ([2, 2], 1, 0, 0, "running totals of digits must rise from item to item"),
    ],
)
def test_counts_that_cannot_be_are_refused(running, last_item, wrong, left_out, message):
    with pytest.raises(ValueError) as refusal:  # noqa: PT011 the whole message is compared
        score_last_item(running, last_item, wrong=wrong, left_out=left_out)

    assert str(refusal.value) == message
