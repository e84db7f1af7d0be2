"""A file of pupils: what each row means for the school, and what is wrong with it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from tracker.actions.imports import cells
from tracker.actions.imports.columns import ROSTER, Columns, find_columns, plain
from tracker.actions.imports.faults import BadCell, Fault
from tracker.actions.imports.reading import FileRow, FileRows
from tracker.models import ClassGroup, Enrolment, Pupil, School, SchoolYear

NEEDED = (("school_ref",), ("name", "given_name"), ("class",), ("grade",))
LONGEST = {"school_ref": 40, "given_name": 80, "family_name": 80, "class": 60}


@dataclass(frozen=True)
class RosterRow:
    number: int
    school_ref: str
    given_name: str
    family_name: str
    class_name: str
    grade: int
    joined_on: date


@dataclass(frozen=True)
class RosterPlan:
    """What loading would do. With faults, nothing is loaded."""

    kind = "roster"
    make: tuple[RosterRow, ...]
    change: tuple[tuple[RosterRow, Pupil], ...]
    same: int
    new_classes: tuple[str, ...]
    faults: tuple[Fault, ...]
    ignored: tuple[str, ...] = ()
    totals_left_out: int = 0
    warnings: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        return len(self.make) + len(self.change) + self.same

    @property
    def changes_something(self) -> bool:
        return bool(self.make or self.change or self.new_classes)


def plan_roster(file: FileRows, *, school: School, year: SchoolYear, on: date) -> RosterPlan:
    columns = find_columns(file.head, ROSTER, needed=NEEDED)
    if columns.faults:
        return RosterPlan((), (), 0, (), columns.faults, columns.ignored)
    reader = _RosterReader(columns, school, year, on)
    rows = [found for row in file.rows if (found := reader.read(row))]
    faults = [*reader.faults, *_twice(rows, columns)]
    stand = {pupil.school_ref: pupil for pupil in Pupil.objects.filter(school=school)}
    places = _places(school, on)
    known = [row for row in rows if row.school_ref in stand]
    changed = [row for row in known if not _as_is(row, stand[row.school_ref], places)]
    names = {plain(group.name): group.name for group in ClassGroup.objects.filter(year=year)}
    return RosterPlan(
        make=tuple(row for row in rows if row.school_ref not in stand),
        change=tuple((row, stand[row.school_ref]) for row in changed),
        same=len(known) - len(changed),
        new_classes=tuple(dict.fromkeys(row.class_name for row in rows if plain(row.class_name) not in names)),
        faults=tuple(sorted(faults, key=lambda fault: fault.row)),
        ignored=columns.ignored,
        totals_left_out=file.totals_left_out,
    )


def _places(school: School, on: date) -> dict[int, Enrolment]:
    rows = Enrolment.objects.filter(school=school, ends__isnull=True).select_related("class_group")
    return {row.pupil_id: row for row in rows.order_by("starts")}


def _as_is(row: RosterRow, pupil: Pupil, places: dict[int, Enrolment]) -> bool:
    place = places.get(pupil.pk)
    return (
        (row.given_name, row.family_name) == (pupil.given_name, pupil.family_name)
        and place is not None
        and plain(place.class_group.name) == plain(row.class_name)
        and place.grade == row.grade
    )


class _RosterReader:
    """Reads rows one by one and keeps every fault."""

    def __init__(self, columns: Columns, school: School, year: SchoolYear, on: date) -> None:
        self.columns = columns
        self.school = school
        self.year = year
        self.on = on
        self.faults: list[Fault] = []

    def read(self, row: FileRow) -> RosterRow | None:
        before = len(self.faults)
        given, family = self._names(row)
        grade = self._grade(row)
        joined = self._joined(row)
        reference = self._text(row, "school_ref", _("Every pupil needs the school's reference."))
        class_name = self._text(row, "class", _("Every pupil needs a class."))
        if len(self.faults) > before:
            return None
        return RosterRow(row.number, reference, given, family, class_name, grade, joined)

    def _fault(self, row: FileRow, name: str, sentence: str) -> None:
        self.faults.append(Fault(row.number, self.columns.head(name), sentence))

    def _text(self, row: FileRow, name: str, missing: str) -> str:
        text = self.columns.cell(row, name)
        if not text:
            self._fault(row, name, missing)
        elif len(text) > LONGEST[name]:
            self._fault(row, name, _("At most %(most)s characters fit here.") % {"most": LONGEST[name]})
        return text

    def _names(self, row: FileRow) -> tuple[str, str]:
        given = self.columns.cell(row, "given_name")
        family = self.columns.cell(row, "family_name")
        if not given and not family:
            given, family = split_name(self.columns.cell(row, "name"))
        column = "given_name" if self.columns.has("given_name") else "name"
        if not given:
            self._fault(row, column, _("Every pupil needs a name."))
        for name, text in (("given_name", given), ("family_name", family)):
            if len(text) > LONGEST[name]:
                self._fault(row, column, _("At most %(most)s characters fit here.") % {"most": LONGEST[name]})
        return given, family

    def _grade(self, row: FileRow) -> int:
        text = self.columns.cell(row, "grade")
        if not text:
            self._fault(row, "grade", _("Every pupil needs a grade."))
            return 0
        try:
            return cells.grade(text)
        except BadCell as bad:
            self._fault(row, "grade", bad.sentence)
            return 0

    def _joined(self, row: FileRow) -> date:
        text = self.columns.cell(row, "joined_on")
        if not text:
            return self.year.starts
        try:
            joined = cells.day(text, order=self.school.date_order)
        except BadCell as bad:
            self._fault(row, "joined_on", bad.sentence)
            return self.on
        if joined > self.year.ends:
            self._fault(row, "joined_on", _("This is after the school year ends."))
        return joined


def split_name(text: str) -> tuple[str, str]:
    """Given and family name; `Family, Given` is turned round, otherwise the last word is the family name."""
    if "," in text:
        family, _comma, given = text.partition(",")
        return given.strip(), family.strip()
    words = text.split()
    return (" ".join(words[:-1]), words[-1]) if len(words) > 1 else (text, "")


def _twice(rows: list[RosterRow], columns: Columns) -> Iterator[Fault]:
    first: dict[str, int] = {}
    for row in rows:
        if row.school_ref in first:
            sentence = _("This reference stands in row %(first)s already; each pupil has their own.")
            yield Fault(row.number, columns.head("school_ref"), sentence % {"first": first[row.school_ref]})
        first.setdefault(row.school_ref, row.number)
