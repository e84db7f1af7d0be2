"""Reads single cells: whole numbers in any digits, times, dates in the school's order, grades, words of a list."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import TypeVar

from django.utils.translation import gettext as _

from tracker.actions.imports.faults import BadCell, shown
from tracker.queries.names import fold

Value = TypeVar("Value")

NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
MOST_DIGITS = 12
MINUTES_AND_SECONDS = re.compile(r"(\d{1,2}):([0-5]\d)")
TIME_OF_DAY = r"(?:[T ].*)?"
YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})" + TIME_OF_DAY)
YEAR_LAST = re.compile(r"(\d{1,2})(?:[-/ ]|\. ?)(\d{1,2})(?:[-/ ]|\. ?)(\d{4}|\d{2})\.?" + TIME_OF_DAY)
MONTH_FIRST = {"DMY": False, "MDY": True}
EXAMPLES = {"DMY": "31/10/2026", "MDY": "10/31/2026", "YMD": "2026/10/31"}
GRADE = re.compile(r"(?:[^\W\d_]+\.?\s*)?(\d{1,2})(?:[.,]0+)?(?:\s*[^\W\d_]{1,3})?\.?")
MOST_GRADE = 13


def latin(text: str) -> str:
    """The digits and number signs of other scripts as ours."""
    digits = "".join(str(int(sign)) if sign.isdecimal() else sign for sign in text)
    return digits.replace("٫", ",").replace("−", "-")


def number(text: str) -> Decimal:
    plain = latin(text)
    if not NUMBER.fullmatch(plain):
        raise BadCell(_("“%(text)s” is not a number.") % {"text": shown(text)})
    if len(plain) > MOST_DIGITS:
        raise BadCell(_("%(text)s is a longer number than any count or time.") % {"text": shown(text)})
    return Decimal(plain.replace(",", "."))


def whole_number(text: str) -> int:
    """`24.0` and `24,0`, as spreadsheets write it, are whole too."""
    value = number(text)
    if value != int(value):
        raise BadCell(_("“%(text)s” is not a whole number.") % {"text": shown(text)})
    return int(value)


def seconds(text: str, *, of_a_unit: int) -> int:
    """A time in units of so many seconds; `1:30` is minutes and seconds everywhere."""
    clock = MINUTES_AND_SECONDS.fullmatch(latin(text))
    if clock:
        return int(clock[1]) * 60 + int(clock[2])
    value = number(text) * of_a_unit
    # A part of a second is a time all the same, and never zero.
    return max(round(value), 1) if value > 0 else int(value)


def day(text: str, *, order: str) -> date:
    """An ISO date, or one in the school's own order."""
    if found := YEAR_FIRST.fullmatch(latin(text)):
        year, month, of_month = (int(part) for part in found.groups())
    elif (found := YEAR_LAST.fullmatch(latin(text))) and order in MONTH_FIRST:
        first, second, year = (int(part) for part in found.groups())
        month, of_month = (first, second) if MONTH_FIRST[order] else (second, first)
        year += 2000 if year < 100 else 0
    else:
        raise BadCell(_not_a_date(text, order))
    try:
        return date(year, month, of_month)
    except ValueError:
        raise BadCell(_not_a_date(text, order)) from None


def _not_a_date(text: str, order: str) -> str:
    sentence = _("“%(text)s” is not a date. Write 31 October 2026 as 2026-10-31 or, as this school does, %(example)s.")
    return sentence % {"text": shown(text), "example": EXAMPLES[order]}


def grade(text: str) -> int:
    """`3`, `Grade 3`, `Y3` or `3rd`."""
    found = GRADE.fullmatch(text)
    if found is None or int(found[1]) > MOST_GRADE:
        raise BadCell(_("“%(text)s” is not a grade: a number from 0 to 13.") % {"text": shown(text)})
    return int(found[1])


def word(text: str, choices: Mapping[str, Value]) -> Value:
    """One of a list of words, keyed as `fold` writes them."""
    if fold(text) not in choices:
        sentence = _("“%(text)s” is not known here. Use one of: %(allowed)s.")
        raise BadCell(sentence % {"text": shown(text), "allowed": ", ".join(choices)})
    return choices[fold(text)]
