import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures.problems import NO_LOAD, OPERATIONS, Problem

NUMBERS = st.integers(0, 99_999)


def counts(problem):
    return problem.regrouped_columns, problem.trades, problem.zeros_crossed


def carries_by_digit_sums(total, *addends):
    """Legendre and Kummer: carries = (digit sums of the addends - digit sum of the total) / 9."""
    return (sum(sum(map(int, str(number))) for number in addends) - sum(map(int, str(total)))) // 9


def test_share_of_two_digit_subtractions_with_regrouping():
    # Source: trade-two-digit-share (COMPUTED), 39.6 %: both numbers of two digits, the top at least the bottom.
    items = [Problem("-", top, bottom) for top in range(10, 100) for bottom in range(10, top + 1)]

    regrouped = [item for item in items if item.needs_regrouping]

    assert (len(items), len(regrouped)) == (4095, 1620)
    assert round(len(regrouped) / len(items), 3) == 0.396


@pytest.mark.parametrize(
    ("operation", "top", "bottom", "answer"),
    [("+", 28, 47, 75), ("-", 92, 35, 57), ("x", 34, 12, 408), ("/", 56, 7, 8), ("copy", 583, 0, 583)],
)
def test_answer_of_each_operation(operation, top, bottom, answer):
    problem = Problem(operation, top, bottom)

    assert (problem.answer, problem.result) == (answer, answer)


@pytest.mark.parametrize(("unknown", "answer"), [("answer", 57), ("top", 92), ("bottom", 35)])
def test_answer_is_the_number_left_out(unknown, answer):
    problem = Problem("-", 92, 35, unknown=unknown)

    assert (problem.answer, problem.result) == (answer, 57)


def test_digits_are_those_of_the_key():
    assert Problem("-", 503, 217).digits == (2, 8, 6)
    assert Problem("-", 503, 499, unknown="bottom").digits == (4, 9, 9)
    assert Problem("-", 503, 499).digits_possible == 1
    assert Problem("-", 8, 8).digits == (0,)


@pytest.mark.parametrize(
    ("operation", "top", "bottom", "places", "expected"),
    [
        ("-", 68, 25, (), (0, 0, 0)),
        ("-", 63, 27, (0,), (1, 1, 0)),
        ("-", 835, 278, (0, 1), (2, 2, 0)),
        ("-", 503, 217, (0,), (1, 2, 1)),
        ("-", 700, 248, (0,), (1, 2, 1)),
        ("-", 4002, 1765, (0,), (1, 3, 2)),
        ("-", 4012, 1765, (0, 1), (2, 3, 1)),  # the 1 has paid, becomes 0 and must then be regrouped itself
        ("-", 100, 7, (0,), (1, 2, 1)),
        ("+", 36, 42, (), (0, 0, 0)),
        ("+", 28, 47, (0,), (1, 1, 0)),
        ("+", 61, 72, (1,), (1, 1, 0)),
        ("+", 999, 1, (0, 1, 2), (3, 3, 0)),
        ("+", 5, 0, (), (0, 0, 0)),
        ("x", 21, 4, (), (0, 0, 0)),
        ("x", 27, 4, (0, 1), (2, 3, 0)),
        ("x", 34, 12, (1,), (1, 1, 0)),  # 68 and 340 need no carrying, adding them up does
        ("x", 7, 8, (0,), (1, 5, 0)),
        ("/", 84, 2, (), (0, 0, 0)),
        ("/", 72, 3, (1,), (1, 1, 0)),
        ("/", 56, 7, (1,), (1, 5, 0)),
        ("copy", 905, 0, (), (0, 0, 0)),
    ],
)
def test_regrouping_of_worked_sums(operation, top, bottom, places, expected):
    problem = Problem(operation, top, bottom)

    assert problem.regrouped_places == places
    assert counts(problem) == expected
    assert problem.needs_regrouping is (expected[0] > 0)


@given(NUMBERS, NUMBERS)
def test_carries_follow_from_digit_sums(top, bottom):
    # Source: Legendre 1830, Kummer 1852 (MEMORY): each carry takes 9 off the sum of the digits.
    carries = carries_by_digit_sums(top + bottom, top, bottom)

    assert counts(Problem("+", top, bottom)) == (carries, carries, 0)


@given(NUMBERS, NUMBERS)
def test_trades_of_a_subtraction_are_the_carries_of_adding_back(one, other):
    top, bottom = max(one, other), min(one, other)
    problem = Problem("-", top, bottom)

    assert problem.trades == carries_by_digit_sums(top, bottom, problem.answer)
    assert problem.trades == problem.regrouped_columns + problem.zeros_crossed
    assert problem.zeros_crossed <= str(top).count("0")


@given(NUMBERS, st.integers(0, 9))
def test_trades_of_a_one_digit_product_follow_from_digit_sums(top, factor):
    digits = sum(factor * int(digit) for digit in str(top)) - sum(map(int, str(top * factor)))

    assert Problem("x", top, factor).trades == digits // 9


@given(NUMBERS, st.integers(1, 9))
def test_division_without_leftovers_regroups_nothing(quotient, divisor):
    problem = Problem("/", quotient * divisor, divisor)
    each_place_fits = all(int(digit) % divisor == 0 for digit in str(problem.top))

    assert problem.needs_regrouping is not each_place_fits


@given(st.sampled_from(("+", "-")), NUMBERS, NUMBERS)
def test_missing_number_leaves_the_regrouping_as_it_is(operation, one, other):
    top, bottom = max(one, other), min(one, other)

    assert Problem(operation, top, bottom, unknown="top").load == Problem(operation, top, bottom).load


@pytest.mark.parametrize(
    ("operation", "top", "bottom", "unknown", "message"),
    [
        ("-", 3, 8, "answer", "3 - 8 is less than zero"),
        ("/", 7, 2, "answer", "7 / 2 leaves a remainder"),
        ("/", 7, 0, "answer", "7 can't be divided by zero"),
        ("+", -1, 2, "answer", "a number in a sum must be a whole number of zero or more, not -1"),
        ("+", 1.5, 2, "answer", "a number in a sum must be a whole number of zero or more, not 1.5"),
        ("+", True, 2, "answer", "a number in a sum must be a whole number of zero or more, not True"),
        ("+", "1", 2, "answer", "a number in a sum must be a whole number of zero or more, not '1'"),
        ("x", 4, 0, "top", "the missing number of 4 x 0 could be any number"),
        ("x", 0, 4, "bottom", "the missing number of 0 x 4 could be any number"),
        ("/", 0, 4, "bottom", "the missing number of 0 / 4 could be any number"),
        ("copy", 12, 3, "answer", "a number to copy stands alone: bottom 0, unknown 'answer'"),
        ("^", 2, 3, "answer", "operation must be one of +, -, x, /, copy, not '^'"),
        ("+", 2, 3, "middle", "unknown must be one of answer, top, bottom, not 'middle'"),
    ],
)
def test_impossible_sums_are_refused(operation, top, bottom, unknown, message):
    with pytest.raises(ValueError) as refusal:  # noqa: PT011 the whole message is compared
        Problem(operation, top, bottom, unknown=unknown)

    assert str(refusal.value) == message


def test_problems_are_plain_values():
    problem = Problem("+", np.int64(28), np.int64(47))

    assert problem == Problem("+", 28, 47)
    assert type(problem.top) is int
    assert len({problem, Problem("+", 28, 47), Problem("+", 28, 47, unknown="top")}) == 2
    with pytest.raises(AttributeError):
        problem.top = 3


def test_every_operation_has_a_load():
    assert {operation: Problem(operation, 0, 1 if operation == "/" else 0).load for operation in OPERATIONS} == (
        dict.fromkeys(OPERATIONS, NO_LOAD)
    )
