from contextlib import suppress
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.actions.imports import cells
from tracker.actions.imports.faults import BadCell

# Zero of some of Unicode's decimal digit scripts (UnicodeData.txt, category Nd): each script's digits follow its zero.
ZEROS = [0x0660, 0x06F0, 0x0966, 0x09E6, 0x0E50, 0x17E0, 0xFF10]


def refused(read, *args, **kwargs):
    with pytest.raises(BadCell) as caught:
        read(*args, **kwargs)
    return caught.value.sentence


@pytest.mark.parametrize(
    ("text", "value"), [("0", 0), ("24", 24), ("024", 24), ("+24", 24), ("24.0", 24), ("24,00", 24), ("٢٤", 24)]
)
def test_whole_number_is_read(text, value):
    assert cells.whole_number(text) == value


@given(st.integers(0, 999), st.sampled_from(ZEROS))
def test_whole_number_in_digits_of_any_script(number, zero):
    written = "".join(chr(zero + int(digit)) for digit in str(number))

    assert cells.whole_number(written) == number


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("l8", "“l8” is not a number."),
        ("", "“” is not a number."),
        ("1 234", "“1 234” is not a number."),
        ("1e3", "“1e3” is not a number."),
        ("²", "“²” is not a number."),
        ("24,5", "“24,5” is not a whole number."),
        ("9" * 50, "999999999999999999999999999999999999999… is a longer number than any count or time."),
        ("x" * 100_000, "“xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…” is not a number."),
    ],
)
def test_whole_number_says_what_is_wrong(text, sentence):
    assert refused(cells.whole_number, text) == sentence


@pytest.mark.parametrize("text", ["-3", "−3"])
def test_whole_number_below_zero_is_read_so_that_it_can_be_refused_as_typing_it_is(text):
    assert cells.whole_number(text) == -3


@pytest.mark.parametrize(("text", "value"), [("2.5", "2.5"), ("2,5", "2.5"), ("٢٫٥", "2.5"), ("3", "3")])
def test_number_takes_point_comma_and_arabic_decimal_sign(text, value):
    assert cells.number(text) == Decimal(value)


@given(st.text())
def test_number_reads_or_refuses_any_text(text):
    with suppress(BadCell):
        assert abs(cells.number(text)) < 10**12


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [("120", 1, 120), ("119.6", 1, 120), ("2", 60, 120), ("2,5", 60, 150), ("1:30", 60, 90), ("1:30", 1, 90),
     ("0", 60, 0), ("0,1", 1, 1), ("-2", 60, -120)],
)  # fmt: skip
def test_seconds_in_units(text, unit, value):
    assert cells.seconds(text, of_a_unit=unit) == value


@pytest.mark.parametrize("text", ["two", "1:75", "1:30:00"])
def test_seconds_of_something_else_are_refused(text):
    assert refused(cells.seconds, text, of_a_unit=1) == f"“{text}” is not a number."


@pytest.mark.parametrize(
    ("text", "order"),
    [("2026-10-31", "DMY"), ("2026-10-31", "MDY"), ("2026/10/31", "YMD"), ("2026-10-31T09:30", "DMY"),
     ("31/10/2026", "DMY"), ("31.10.2026", "DMY"), ("31. 10. 2026.", "DMY"), ("31-10-26", "DMY"),
     ("31/10/2026 00:00", "DMY"), ("10/31/2026", "MDY"), ("٣١/١٠/٢٠٢٦", "DMY")],
)  # fmt: skip
def test_day_is_iso_or_in_the_schools_order(text, order):
    assert cells.day(text, order=order) == date(2026, 10, 31)


@given(st.dates(date(1900, 1, 1), date(9999, 12, 31)))
def test_day_iso_round_trip(day):
    assert cells.day(day.isoformat(), order="MDY") == day


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)))
def test_day_in_each_order_round_trip(day):
    assert cells.day(day.strftime("%d/%m/%Y"), order="DMY") == day
    assert cells.day(day.strftime("%m/%d/%y"), order="MDY") == day


@pytest.mark.parametrize(
    ("text", "order", "example"),
    [("10/31/2026", "DMY", "31/10/2026"), ("31/10/2026", "MDY", "10/31/2026"), ("31/10/2026", "YMD", "2026/10/31"),
     ("2026-02-30", "DMY", "31/10/2026"), ("Friday", "DMY", "31/10/2026"), ("0000-01-01", "DMY", "31/10/2026"),
     ("46326", "DMY", "31/10/2026")],
)  # fmt: skip
def test_day_that_is_none_says_how_to_write_one(text, order, example):
    expected = f"“{text}” is not a date. Write 31 October 2026 as 2026-10-31 or, as this school does, {example}."
    assert refused(cells.day, text, order=order) == expected


@given(st.text(), st.sampled_from(["DMY", "MDY", "YMD"]))
def test_day_reads_or_refuses_any_text(text, order):
    with suppress(BadCell):
        assert isinstance(cells.day(text, order=order), date)


@pytest.mark.parametrize(
    ("text", "grade"),
    [("3", 3), ("3.0", 3), ("0", 0), ("Grade 3", 3), ("Y3", 3), ("Yr. 3", 3), ("3rd", 3), ("3.", 3), ("٣", 3)],
)
def test_grade_is_read(text, grade):
    assert cells.grade(text) == grade


@pytest.mark.parametrize("text", ["", "K", "14", "-3", "3-4", "2026/27"])
def test_grade_that_is_none_is_refused(text):
    assert refused(cells.grade, text) == f"“{text}” is not a grade: a number from 0 to 13."


def test_word_is_one_of_a_list_in_any_case():
    assert cells.word("Number TILES", {"number tiles": "tiles"}) == "tiles"


def test_word_outside_the_list_names_the_list():
    assert refused(cells.word, "pencil", {"oral": "oral", "written": "written"}) == (
        "“pencil” is not known here. Use one of: oral, written."
    )
