"""Reads one row of a file of pupils."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from django.utils.translation import gettext as _

from tracker.actions.imports import cells
from tracker.actions.imports.columns import Columns
from tracker.actions.imports.faults import BadCell, Fault
from tracker.actions.imports.reading import FileRow
from tracker.actions.imports.school_index import both_orders
from tracker.models import Pupil, SchoolYear
from tracker.queries.names import fold

# Nobody is at school for longer; programs write an empty day as 1900-01-01.
MOST_YEARS = 20
LONGEST = {"school_ref": 40, "given_name": 80, "family_name": 80, "class": 60}

T = TypeVar("T")


@dataclass(frozen=True)
class RosterRow:
    number: int
    school_ref: str
    given_name: str
    family_name: str
    class_name: str
    grade: int
    # None when the file does not say.
    joined_on: date | None


class RosterReader:
    """Reads rows one by one and keeps every fault. `known` holds the school's pupils by folded reference."""

    def __init__(self, columns: Columns, year: SchoolYear, known: Mapping[str, Pupil]) -> None:
        self.columns = columns
        self.year = year
        self.known = known
        self.faults: list[Fault] = []

    def read(self, row: FileRow) -> RosterRow | None:
        before = len(self.faults)
        reference = self._try(row, "school_ref", lambda text: self._text(text, "school_ref"))
        given, family = self._names(row)
        class_name = self._try(row, "class", lambda text: self._text(text, "class"))
        grade = self._try(row, "grade", _grade)
        joined = self._try(row, "joined_on", self._joined)
        if len(self.faults) > before or reference is None or class_name is None or grade is None:
            return None
        return RosterRow(row.number, reference, given, family, class_name, grade, joined)

    def _try(self, row: FileRow, name: str, read: Callable[[str], T]) -> T | None:
        try:
            return read(self.columns.cell(row, name))
        except BadCell as bad:
            self.faults.append(Fault(row.number, self.columns.head(name), bad.sentence))
            return None

    def _text(self, text: str, name: str) -> str:
        if not text:
            raise BadCell(_missing()[name])
        if len(text) > LONGEST[name]:
            raise BadCell(_("At most %(most)s characters fit here.") % {"most": LONGEST[name]})
        return text

    def _names(self, row: FileRow) -> tuple[str, str]:
        given, family = self.columns.cell(row, "given_name"), self.columns.cell(row, "family_name")
        if not given:
            whole = self.columns.full_name(row)
            given, family = self._as_known(row, whole) or split_name(whole)
        column = "given_name" if self.columns.has("given_name") else "name"
        self._try(row, column, lambda _text: self._text(given, "given_name"))
        if family:
            family_column = "family_name" if self.columns.has("family_name") else column
            self._try(row, family_column, lambda _text: self._text(family, "family_name"))
        return given, family

    def _as_known(self, row: FileRow, whole: str) -> tuple[str, str] | None:
        """Where a whole name parts is a guess, so one that the record holds already parts as it does there."""
        pupil = self.known.get(self.columns.cell(row, "school_ref").casefold())
        if pupil is None or fold(whole) not in both_orders(pupil):
            return None
        return pupil.given_name, pupil.family_name

    def _joined(self, text: str) -> date | None:
        if not text:
            return None
        joined = cells.day(text, order=self.year.school.date_order)
        if joined > self.year.ends:
            raise BadCell(_("This is after the school year ends."))
        if joined.year < self.year.starts.year - MOST_YEARS:
            raise BadCell(
                _("This is more than %(years)s years ago. Mend the day or empty the cell.") % {"years": MOST_YEARS}
            )
        return joined


def _grade(text: str) -> int:
    if not text:
        raise BadCell(_missing()["grade"])
    return cells.grade(text)


def _missing() -> dict[str, str]:
    return {
        "school_ref": _("Every pupil needs the school’s own reference."),
        "given_name": _("Every pupil needs a name."),
        "class": _("Every pupil needs a class."),
        "grade": _("Every pupil needs a grade."),
    }


def split_name(text: str) -> tuple[str, str]:
    """Given and family name; `Family, Given` is turned round, otherwise the last word is the family name."""
    if "," in text:
        family, _comma, given = text.partition(",")
        return given.strip(), family.strip()
    given, _blank, family = text.rpartition(" ")
    return (given, family) if given else (text, "")
