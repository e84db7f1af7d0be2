"""Reads one row of a score file."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from django.utils.translation import gettext as _

from tracker.actions.imports import cells
from tracker.actions.imports.columns import Columns, plain
from tracker.actions.imports.faults import BadCell, Fault
from tracker.actions.imports.reading import FileRow
from tracker.actions.imports.school_index import SchoolIndex
from tracker.models import Attempt, Enrolment, Pupil, SchoolYear, Sheet, Skill

ABSENT = {"a", "abs", "absent", "away", "ab"}
STOPPED = {"stopped", "stop"}
DONE = {"", "done", "present", "p", "ok"}
SETTINGS = {"": "class", "class": "class", "in class": "class", "small group": "small-group", "home": "home",
            "at home": "home", "remote": "remote", "online": "remote"}  # fmt: skip
MODES = {"": "", "written": "written", "oral": "oral", "scribed": "scribed", "keyboard": "keyboard", "tiles": "tiles",
         "number tiles": "tiles"}  # fmt: skip
MOST_DIGITS = 999
MOST_SECONDS = 3600

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
    status: str
    correct: int | None
    wrong: int | None
    omitted: int | None
    seconds: int | None
    setting: str
    mode: str

    def equals(self, attempt: Attempt) -> bool:
        """The record says the same; a sheet or a time that the file leaves out is no difference."""
        return (
            (self.status, self.correct, self.wrong) == (attempt.status, attempt.correct, attempt.wrong)
            and self.seconds in (None, attempt.seconds)
            and (self.sheet is None or self.sheet.pk == attempt.sheet_id)
        )


class ScoresReader:
    """Reads rows one by one and keeps every fault."""

    def __init__(self, columns: Columns, index: SchoolIndex, on: date) -> None:
        self.columns = columns
        self.index = index
        self.on = on
        self.faults: list[Fault] = []

    def read(self, row: FileRow) -> ScoreRow | None:
        before = len(self.faults)
        day = self._try(row, "date", self._day)
        skill = self._try(row, "skill", self._skill)
        pupil = self._try(row, self._who(), lambda text: self._pupil(row, text, day))
        sheet = self._try(row, "sheet", lambda text: self.index.sheet(text) if text else None)
        status = self._status(row)
        counts = self._counts(row, status, sheet)
        seconds = self._seconds(row, status, sheet)
        setting = self._try(row, "setting", lambda text: _one_of(text, SETTINGS))
        mode = self._try(row, "mode", lambda text: _one_of(text, MODES))
        if len(self.faults) > before or day is None or skill is None or pupil is None:
            return None
        place = self._place(row, pupil, day)
        year = self.index.year(day)
        if place is None or year is None:
            return None
        how = mode or pupil.mode
        return ScoreRow(
            row.number, pupil, skill, day, place, year, sheet, status, *counts, seconds, setting or "class", how
        )

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
            raise BadCell(_("%(text)s is in the future.") % {"text": text})
        if self.index.year(day) is None:
            raise BadCell(_("%(text)s lies outside every school year of this school.") % {"text": text})
        return day

    def _skill(self, text: str) -> Skill:
        if not text:
            raise BadCell(_("Every row needs a skill."))
        return self.index.skill(text)

    def _pupil(self, row: FileRow, text: str, day: date | None) -> Pupil:
        if self.columns.has("school_ref") and text:
            return self.index.pupil_by_ref(text)
        name = self.columns.cell(row, "name") or " ".join(
            (self.columns.cell(row, "given_name"), self.columns.cell(row, "family_name"))
        )
        if not name.strip():
            raise BadCell(_("This row does not say which pupil it is for."))
        return self.index.pupil_by_name(name, self.columns.cell(row, "class"), day or self.on)

    def _place(self, row: FileRow, pupil: Pupil, day: date) -> Enrolment | None:
        place = self.index.place(pupil, day)
        if place is None:
            self._fault(row, "date", _("The pupil was in no class of this school on that day."))
        return place

    def _status(self, row: FileRow) -> str:
        said = plain(self.columns.cell(row, "status"))
        score = self.columns.cell(row, "correct")
        if said in ABSENT or plain(score) in ABSENT or score == "/":
            return "absent"
        if said in STOPPED or score == "*":
            return "stopped"
        if said not in DONE:
            sentence = _("“%(text)s” is not known here. Use done, absent or stopped.")
            self._fault(row, "status", sentence % {"text": self.columns.cell(row, "status")})
        return "done"

    def _counts(self, row: FileRow, status: str, sheet: Sheet | None) -> tuple[int | None, int | None, int | None]:
        if status == "absent" or (status == "stopped" and self.columns.cell(row, "correct") in ("", "*")):
            return None, None, None
        most = sheet.digits_possible if sheet and sheet.digits_possible else MOST_DIGITS
        correct, wrong = (self._try(row, name, lambda text: _count(text, most)) for name in ("correct", "wrong"))
        omitted = self._try(row, "omitted", lambda text: _count(text, most) if text else None)
        if correct is not None and wrong is not None and correct + wrong > most:
            sentence = _("%(sum)s digits correct and wrong are more than the %(most)s digits of the sheet.")
            self._fault(row, "wrong", sentence % {"sum": correct + wrong, "most": most})
        return correct, wrong, omitted

    def _seconds(self, row: FileRow, status: str, sheet: Sheet | None) -> int | None:
        if status == "absent":
            return None
        given = self._try(row, "seconds", lambda text: _seconds(text, 1) if text else None)
        given = given or self._try(row, "minutes", lambda text: _seconds(text, 60) if text else None)
        return given or (sheet.seconds if sheet else None)


def _one_of(text: str, choices: dict[str, str]) -> str:
    if plain(text) not in choices:
        allowed = ", ".join(word for word in choices if word)
        raise BadCell(_("“%(text)s” is not known here. Use one of: %(allowed)s.") % {"text": text, "allowed": allowed})
    return choices[plain(text)]


def _count(text: str, most: int) -> int:
    if not text:
        raise BadCell(_("A count is missing. Write 0 if there was none, or absent as the status."))
    return cells.whole_number(text, most=most)


def _seconds(text: str, times: int) -> int:
    seconds = round(cells.decimal_number(text) * times)
    if not 0 < seconds <= MOST_SECONDS:
        raise BadCell(_("The time must be above zero and at most an hour."))
    return seconds
