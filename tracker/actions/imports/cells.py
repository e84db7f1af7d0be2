"""Reads single cells: whole numbers in any digits, decimals with point or comma, dates in the school's order."""

import re
from datetime import date

from django.utils.translation import gettext as _

from tracker.actions.imports.faults import BadCell

YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?")
YEAR_LAST = re.compile(r"(\d{1,2})[-/. ](\d{1,2})[-/. ](\d{4}|\d{2})\.?")
MONTH_PLACES = {"DMY": (1, 0), "MDY": (0, 1)}


def whole_number(text: str, *, most: int) -> int:
    """A count; `24.0` and `24,0`, as spreadsheets write it, are whole too, and so are digits of other scripts."""
    value = decimal_number(text)
    if value != int(value):
        raise BadCell(_("“%(text)s” is not a whole number.") % {"text": text})
    if value < 0:
        raise BadCell(_("%(text)s is below zero; a count starts at 0.") % {"text": text})
    if value > most:
        raise BadCell(_("%(text)s is more than can be: at most %(most)s.") % {"text": text, "most": most})
    return int(value)


def decimal_number(text: str) -> float:
    latin = "".join(str(int(sign)) if sign.isdecimal() else sign for sign in text).replace("٫", ",")
    compact = latin.replace(" ", "").replace(" ", "")
    if not re.fullmatch(r"[+-]?\d+(?:[.,]\d+)?", compact):
        raise BadCell(_("“%(text)s” is not a number.") % {"text": text})
    return float(compact.replace(",", "."))


def day(text: str, *, order: str) -> date:
    """An ISO date, or one in the school's own order."""
    latin = "".join(str(int(sign)) if sign.isdecimal() else sign for sign in text)
    found = YEAR_FIRST.fullmatch(latin)
    if found:
        return _date(text, int(found[1]), int(found[2]), int(found[3]))
    found = YEAR_LAST.fullmatch(latin)
    if found is None or order not in MONTH_PLACES:
        raise BadCell(_not_a_date(text, order))
    month_place, day_place = MONTH_PLACES[order]
    parts = (int(found[1]), int(found[2]))
    year = int(found[3]) + (2000 if len(found[3]) == 2 else 0)
    return _date(text, year, parts[month_place], parts[day_place])


def _date(text: str, year: int, month: int, day_of_month: int) -> date:
    try:
        return date(year, month, day_of_month)
    except ValueError:
        raise BadCell(_("There is no day “%(text)s” in the calendar.") % {"text": text}) from None


def _not_a_date(text: str, order: str) -> str:
    example = {"DMY": "31/10/2026", "MDY": "10/31/2026", "YMD": "2026-10-31"}[order]
    return _("“%(text)s” is not a date. Write it as 2026-10-31 or, in this school, as %(example)s.") % {
        "text": text,
        "example": example,
    }


def grade(text: str) -> int:
    """`3`, `Grade 3`, `Y3` or `3rd`."""
    found = re.fullmatch(r"(?:[^\W\d_]+\.?\s*)?(\d{1,2})(?:\s*[^\W\d_]{1,3}\.?)?", text)
    if found is None or int(found[1]) > 13:
        raise BadCell(_("“%(text)s” is not a grade: a number from 0 to 13.") % {"text": text})
    return int(found[1])
