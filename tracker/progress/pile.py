"""Sheets ready to print: a class set in pile order, and the keys with their running totals."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.models import Attempt, Check, School, Sheet, SheetItem
from tracker.progress.called import called
from tracker.progress.vocabulary import skill_label
from tracker.queries import checks, sheets

# How an operation is written on paper; division keeps the sign that children learn first.
SIGNS = {"+": "+", "-": "−", "x": "×", "/": "÷"}
COLUMN, LINE, COPY = "column", "line", "copy"
# Items in a printed row, as the sheets are planned: facts are short, an item in a line is long.
FACTS_IN_ROW, SUMS_IN_ROW, LINES_IN_ROW, LONG_LINES_IN_ROW = 10, 6, 4, 3


@dataclass(frozen=True)
class PrintedItem:
    """`top`, `bottom` or `answer` is empty where the child writes. `layout` is column, line or copy."""

    number: int
    top: str
    sign: str
    bottom: str
    answer: str
    key: str
    running: int
    layout: str


@dataclass(frozen=True)
class PrintedSheet:
    sheet_id: str
    code: str
    skill: str
    minutes: str
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
    without_sheet: tuple[str, ...]


def pile(viewer: Viewer, check: Check) -> Pile:
    """Rows still due, or all when none is, in the order of names: the pile is handed out and comes back in it."""
    rows = list(checks.rows(viewer, check).select_related("sheet__skill"))
    wanted = [row for row in rows if row.status == Attempt.Status.DUE] or rows
    found = (row.sheet for row in wanted if row.sheet is not None)
    used = {sheet.pk: sheet for sheet in found if sheet.kind != Sheet.Kind.OUTSIDE}
    made = printed_sheets(used.values(), viewer.school, sheets.items(viewer, used))
    names = called(row.pupil for row in wanted)
    leaves = [_leaf(row, names[row.pupil_id], made[row.sheet_id]) for row in wanted if row.sheet_id in made]
    missing = [names[row.pupil_id] for row in wanted if row.sheet_id not in made]
    in_order = sorted(used.values(), key=lambda sheet: (sheet.skill.position if sheet.skill else 0, sheet.form))
    return Pile(tuple(leaves), tuple(made[sheet.pk] for sheet in in_order), tuple(missing))


def _leaf(row: Attempt, name: str, sheet: PrintedSheet) -> Leaf:
    return Leaf(name, sheet, untimed=row.seconds is None)


def printed_sheets(rows: Iterable[Sheet], school: School, items: Iterable[SheetItem]) -> dict[int, PrintedSheet]:
    by_sheet: dict[int, list[SheetItem]] = {}
    for item in items:
        by_sheet.setdefault(item.sheet_id, []).append(item)
    return {sheet.pk: _sheet(sheet, by_sheet.get(sheet.pk, []), school) for sheet in rows}


def sheet_lines(rows: Iterable[Sheet], school: School) -> list[SheetLine]:
    by_skill: dict[str, list[Sheet]] = {}
    for sheet in rows:
        by_skill.setdefault(_name(sheet, school), []).append(sheet)
    return [SheetLine(name, tuple(forms)) for name, forms in by_skill.items()]


def _name(sheet: Sheet, school: School) -> str:
    return skill_label(sheet.skill.key, school) if sheet.skill else sheet.name


def _sheet(sheet: Sheet, items: Sequence[SheetItem], school: School) -> PrintedSheet:
    return PrintedSheet(
        sheet_id=sheet.public_id,
        code=sheet.code,
        skill=_name(sheet, school),
        minutes=_minutes(sheet.seconds),
        digits_possible=sheet.digits_possible or 0,
        items=tuple(_item(item) for item in items),
        columns=_columns(items),
    )


def _columns(items: Sequence[SheetItem]) -> int:
    """Items in a printed row. The key has the same rows, so that paper and key are read side by side."""
    if items and all(_layout(item) == LINE for item in items):
        return LINES_IN_ROW if all(item.top <= 99 and (item.bottom or 0) <= 10 for item in items) else LONG_LINES_IN_ROW
    is_facts = items and all(item.top <= 20 and (item.bottom or 0) <= 10 and item.operation != "copy" for item in items)
    return FACTS_IN_ROW if is_facts else SUMS_IN_ROW


def _layout(item: SheetItem) -> str:
    if item.operation == "copy":
        return COPY
    return LINE if item.unknown != "answer" or item.operation == "/" else COLUMN


def _item(item: SheetItem) -> PrintedItem:
    shown = {"top": str(item.top), "bottom": "" if item.bottom is None else str(item.bottom), "answer": ""}
    if item.unknown != "answer":
        shown |= {"answer": str(_result(item)), item.unknown: ""}
    return PrintedItem(
        number=item.number,
        sign=SIGNS.get(item.operation, ""),
        key=item.answer,
        running=item.running_digits,
        layout=_layout(item),
        **shown,
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
