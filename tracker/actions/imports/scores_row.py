"""Reads one row of a score file: whom, which skill, which day, and what a hand would have typed."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from django.utils.translation import gettext as _

from tracker.actions.imports import cells
from tracker.actions.imports.columns import Columns
from tracker.actions.imports.faults import BadCell, Fault
from tracker.actions.imports.reading import FileRow
from tracker.actions.imports.school_index import SchoolIndex, both_orders
from tracker.actions.typed import Typed
from tracker.models import Attempt, Enrolment, Pupil, SchoolYear, Sheet, Skill
from tracker.queries.names import fold

# Keys as `fold` writes them.
STATUSES = {"done": "done", "absent": "absent", "stopped": "stopped", "present": "done", "p": "done", "ok": "done",
            "a": "absent", "ab": "absent", "abs": "absent", "away": "absent", "stop": "stopped"}  # fmt: skip
SETTINGS = {"class": "class", "in class": "class", "small group": "small-group", "in a small group": "small-group",
            "home": "home", "at home": "home", "remote": "remote", "online": "remote"}  # fmt: skip
MODES = {"written": "written", "oral": "oral", "scribed": "scribed", "keyboard": "keyboard", "tiles": "tiles",
         "number tiles": "tiles"}  # fmt: skip
YES_NO = {"yes": True, "y": True, "x": True, "1": True, "no": False, "n": False, "0": False}
# In the place of a score, as on the number pad of the score grid.
SIGNS = {"/": "absent", "*": "stopped"}
COUNTS = ("correct", "wrong", "omitted")

T = TypeVar("T")


@dataclass(frozen=True)
class ScoreRow:
    number: int
    pupil: Pupil
    skill: Skill
    on: date
    place: Enrolment
    year: SchoolYear
    sheet: Sheet | None
    typed: Typed

    @property
    def key(self) -> tuple[int, int, date]:
        return self.pupil.pk, self.skill.pk, self.on

    def differs(self, attempt: Attempt) -> list[str]:
        """Fields in which the record says otherwise; what the file leaves out is no difference."""
        always = {name: getattr(self.typed, name) for name in ("status", "correct", "wrong")}
        given = {name: getattr(self.typed, name) for name in ("omitted", "seconds", "setting", "mode")}
        said = always | {name: value for name, value in given.items() if value is not None}
        found = [name for name, value in said.items() if value != getattr(attempt, name)]
        return found + (["sheet"] if self.sheet and self.sheet.pk != attempt.sheet_id else [])


class ScoresReader:
    """Reads rows one by one and keeps every fault."""

    def __init__(self, columns: Columns, index: SchoolIndex, on: date) -> None:
        self.columns = columns
        self.index = index
        self.on = on
        self.faults: list[Fault] = []
        self.other_names: list[int] = []

    def read(self, row: FileRow) -> ScoreRow | None:
        before = len(self.faults)
        day = self._try(row, "date", self._day)
        skill = self._try(row, "skill", self._skill)
        pupil = self._try(row, self._who(), lambda text: self._pupil(row, text, day))
        sheet = self._try(row, "sheet", lambda text: self.index.sheet(text, skill) if text else None)
        typed = self._typed(row, day)
        year = self.index.year(day) if day else None
        if len(self.faults) > before or day is None or skill is None or pupil is None or year is None:
            return None
        place = self.index.place(pupil, day)
        if place is None:
            self._fault(row, "date", _("The pupil was in no class of this school on that day."))
            return None
        return ScoreRow(row.number, pupil, skill, day, place, year, sheet, typed)

    def _fault(self, row: FileRow, name: str, sentence: str) -> None:
        self.faults.append(Fault(row.number, self.columns.head(name), sentence))

    def _try(self, row: FileRow, name: str, read: Callable[[str], T]) -> T | None:
        try:
            return read(self.columns.cell(row, name))
        except BadCell as bad:
            self._fault(row, name, bad.sentence)
            return None

    def _who(self) -> str:
        return next(name for name in ("school_ref", "name", "given_name") if self.columns.has(name))

    def _day(self, text: str) -> date:
        if not text:
            raise BadCell(_("Every row needs a date."))
        day = cells.day(text, order=self.index.school.date_order)
        if day > self.on:
            raise BadCell(_("%(text)s has not come yet. A score has a day up to today.") % {"text": text})
        if self.index.year(day) is None:
            raise BadCell(_("%(text)s lies outside every school year of this school.") % {"text": text})
        return day

    def _skill(self, text: str) -> Skill:
        if not text:
            raise BadCell(_("Every row needs a skill."))
        return self.index.skill(text)

    def _pupil(self, row: FileRow, text: str, day: date | None) -> Pupil:
        name = self.columns.full_name(row)
        if self.columns.has("school_ref") and text:
            pupil = self.index.pupil_by_ref(text)
            if name and self.columns.has("family_name") | self.columns.has("name"):
                self.other_names += [] if fold(name) in both_orders(pupil) else [row.number]
            return pupil
        if not name:
            raise BadCell(_("This row does not say which pupil it is for."))
        return self.index.pupil_by_name(name, self.columns.cell(row, "class"), day or self.on)

    def _typed(self, row: FileRow, day: date | None) -> Typed:
        status = self._try(row, "status", lambda text: self._status(row, text)) or "done"
        counts = {name: self._count(row, name, status) for name in COUNTS}
        if status == "absent" and not any(counts.values()):
            counts = dict.fromkeys(COUNTS)
        seconds = self._try(row, "seconds", lambda text: cells.seconds(text, of_a_unit=1) if text else None)
        if seconds is None:
            seconds = self._try(row, "minutes", lambda text: cells.seconds(text, of_a_unit=60) if text else None)
        return Typed(
            **counts,
            seconds=seconds,
            status=status,
            mode=self._try(row, "mode", lambda text: cells.word(text, MODES) if text else None),
            setting=self._try(row, "setting", lambda text: cells.word(text, SETTINGS) if text else None),
            taken_on=day,
            confirmed=self._try(row, "confirmed", lambda text: cells.word(text, YES_NO) if text else False) or False,
        )

    def _status(self, row: FileRow, text: str) -> str:
        score = self.columns.cell(row, "correct")
        return cells.word(text, STATUSES) if text else _said(score) or "done"

    def _count(self, row: FileRow, name: str, status: str) -> int | None:
        text = self.columns.cell(row, name)
        if not text or _said(text) == status != "done":
            return None
        return self._try(row, name, cells.whole_number)


def _said(score: str) -> str | None:
    """A word or sign in the place of a score."""
    return SIGNS.get(score) or STATUSES.get(fold(score))
