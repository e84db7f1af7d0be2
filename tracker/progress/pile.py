"""Sheets ready to print: a class set in pile order, and the keys with their running totals."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.models import Attempt, Check, School, Sheet, SheetItem
from tracker.progress.vocabulary import skill_label
from tracker.queries import checks, sheets

# How an operation is written on paper; division keeps the sign that children learn first.
SIGNS = {"+": "+", "-": "−", "x": "×", "/": "÷", "copy": ""}


@dataclass(frozen=True)
class PrintedItem:
    """`top`, `bottom` or `answer` is empty where the child writes."""

    number: int
    top: str
    sign: str
    bottom: str
    answer: str
    key: str
    running: int
    inline: bool


@dataclass(frozen=True)
class PrintedSheet:
    sheet_id: str
    code: str
    skill: str
    minutes: str
    timed: bool
    digits_possible: int
    items: tuple[PrintedItem, ...]
    columns: int


@dataclass(frozen=True)
class SheetLine:
    """A skill in the list of sheets, with the forms that the school has."""

    skill: str
    forms: tuple[Sheet, ...]


@dataclass(frozen=True)
class Leaf:
    """One child's paper."""

    name: str
    sheet: PrintedSheet
    untimed: bool


@dataclass(frozen=True)
class Pile:
    leaves: tuple[Leaf, ...]
    keys: tuple[PrintedSheet, ...]


def pile(viewer: Viewer, check: Check) -> Pile:
    """Rows still due, in the order of names, so that the pile is handed out and comes back in order."""
    rows = [row for row in checks.rows(viewer, check) if row.sheet is not None]
    due = [row for row in rows if row.status == Attempt.Status.DUE] or rows
    made = printed_sheets([row.sheet for row in due if row.sheet], viewer.school, sheets.items(viewer, due_ids(due)))
    leaves = tuple(Leaf(str(row.pupil), made[row.sheet_id], row.seconds is None) for row in due if row.sheet_id in made)
    return Pile(leaves=leaves, keys=tuple(made.values()))


def due_ids(rows: Iterable[Attempt]) -> set[int]:
    return {row.sheet_id for row in rows if row.sheet_id}


def printed_sheets(rows: Iterable[Sheet], school: School, items: Iterable[SheetItem]) -> dict[int, PrintedSheet]:
    by_sheet: dict[int, list[SheetItem]] = {}
    for item in items:
        by_sheet.setdefault(item.sheet_id, []).append(item)
    unique = {sheet.pk: sheet for sheet in rows}
    return {key: _sheet(sheet, by_sheet.get(key, []), school) for key, sheet in unique.items()}


def sheet_lines(rows: Iterable[Sheet], school: School) -> list[SheetLine]:
    by_skill: dict[str, list[Sheet]] = {}
    for sheet in rows:
        name = skill_label(sheet.skill.key, school) if sheet.skill else sheet.name
        by_skill.setdefault(name, []).append(sheet)
    return [SheetLine(name, tuple(forms)) for name, forms in by_skill.items()]


def _sheet(sheet: Sheet, items: Sequence[SheetItem], school: School) -> PrintedSheet:
    printed = tuple(_item(item) for item in items)
    return PrintedSheet(
        sheet_id=sheet.public_id,
        code=sheet.code,
        skill=skill_label(sheet.skill.key, school) if sheet.skill else sheet.name,
        minutes=_minutes(sheet.seconds),
        timed=sheet.seconds is not None,
        digits_possible=sheet.digits_possible or 0,
        items=printed,
        columns=_columns(printed),
    )


def _columns(items: Sequence[PrintedItem]) -> int:
    """Short sums stand five in a row, missing numbers three: there must be room to write."""
    return 3 if items and items[0].inline else 5


def _item(item: SheetItem) -> PrintedItem:
    inline = item.unknown != "answer" or item.operation == "/"
    top, bottom, answer = str(item.top), "" if item.bottom is None else str(item.bottom), ""
    if item.unknown != "answer":
        answer = str(_result(item))
        top, bottom = ("", bottom) if item.unknown == "top" else (top, "")
    return PrintedItem(
        number=item.number,
        top=top,
        sign=SIGNS.get(item.operation, item.operation),
        bottom=bottom,
        answer=answer,
        key=item.answer,
        running=item.running_digits,
        inline=inline,
    )


def _result(item: SheetItem) -> int:
    """What the whole sum comes to when one of its parts is what is asked for."""
    top, bottom = item.top, item.bottom or 0
    return {"+": top + bottom, "-": top - bottom, "x": top * bottom, "/": top // (bottom or 1)}[item.operation]


def _minutes(seconds: int | None) -> str:
    if seconds is None:
        return ""
    if seconds % 60 == 0:
        return _("%(minutes)s min") % {"minutes": seconds // 60}
    return _("%(seconds)s s") % {"seconds": seconds}
