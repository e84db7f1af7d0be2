"""A file of scores: each row matched to a pupil, a skill, a day and a sheet, or a sentence that says why not."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tracker.actions.errors import Refused
from tracker.actions.imports.columns import SCORES, Columns, find_columns, overlong
from tracker.actions.imports.faults import Fault
from tracker.actions.imports.reading import FileRows
from tracker.actions.imports.school_index import SchoolIndex
from tracker.actions.imports.scores_row import ScoreRow, ScoresReader
from tracker.actions.typed import Entry, read
from tracker.models import Attempt, School

NEEDED = (("school_ref", "name", "given_name"), ("skill",), ("date",), ("correct",), ("wrong",))
# Rows of a check that hold no score yet.
OPEN_STATUSES = (Attempt.Status.DUE, Attempt.Status.NOT_GIVEN)


@dataclass(frozen=True)
class Scored:
    """A row with the attempt that will hold it, one of a check or a new one, and what it is to hold."""

    row: ScoreRow
    attempt: Attempt
    entry: Entry
    planned_sheet: int | None


@dataclass(frozen=True)
class ScoresPlan:
    """What loading would do. With faults, nothing is loaded."""

    kind = "scores"
    make: tuple[Scored, ...] = ()
    fill: tuple[Scored, ...] = ()
    same: int = 0
    faults: tuple[Fault, ...] = ()
    ignored: tuple[str, ...] = ()
    totals_left_out: int = 0
    warnings: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        return len(self.make) + len(self.fill) + self.same

    @property
    def changes_something(self) -> bool:
        return bool(self.make or self.fill)


def plan_scores(file: FileRows, *, school: School, on: date) -> ScoresPlan:
    columns = find_columns(file, SCORES, needed=NEEDED)
    if columns.faults:
        return ScoresPlan(faults=columns.faults, ignored=columns.ignored)
    scores = [row for row in file.rows if not columns.is_total(row, NEEDED)]
    reader = ScoresReader(columns, SchoolIndex(school), on)
    rows = [found for row in scores if (found := reader.read(row))]
    matcher = _Matcher(columns, reader.index, on)
    matcher.match(rows)
    faults = [*overlong(file.head, scores), *reader.faults, *matcher.faults]
    return ScoresPlan(
        make=tuple(one for one in matcher.found if one.attempt._state.adding),
        fill=tuple(one for one in matcher.found if not one.attempt._state.adding),
        same=matcher.same,
        faults=tuple(sorted(faults, key=lambda fault: fault.row)),
        ignored=columns.ignored,
        totals_left_out=len(file.rows) - len(scores),
        warnings=tuple(_warnings(matcher.found, reader.other_names)),
    )


class _Matcher:
    """Finds what the record holds for each row, and reads what it is to hold as if it had been typed."""

    def __init__(self, columns: Columns, index: SchoolIndex, on: date) -> None:
        self.columns = columns
        self.index = index
        self.on = on
        self.found: list[Scored] = []
        self.faults: list[Fault] = []
        self.same = 0

    def match(self, rows: list[ScoreRow]) -> None:
        standing = _standing(self.index.school, rows)
        first: dict[tuple[int, int, date], int] = {}
        for row in rows:
            there = standing.get(row.key, [])
            equal = next((attempt for attempt in there if not row.differs(attempt)), None)
            if equal is not None:
                there.remove(equal)
                self.same += 1
            elif row.key in first:
                sentence = _("Row %(first)s is for the same pupil, skill and day. Keep one of the two.")
                self._fault(row, "", sentence % {"first": first[row.key]})
            else:
                self._take(row, there)
            first.setdefault(row.key, row.number)

    def _take(self, row: ScoreRow, there: list[Attempt]) -> None:
        waiting = next((attempt for attempt in there if attempt.status in OPEN_STATUSES), None)
        if waiting is None and there:
            self._fault(row, "", _otherwise(row, there[0]))
        elif waiting is None and self.index.is_off(row.skill):
            self._fault(row, "skill", _("This school does not use this skill."))
        else:
            self._read(row, waiting or _new(row, self.index.school))

    def _read(self, row: ScoreRow, attempt: Attempt) -> None:
        planned, typed = attempt.sheet_id, row.typed
        attempt.pupil, attempt.sheet = row.pupil, row.sheet or attempt.sheet
        if typed.status == "done" and typed.correct is None and typed.wrong is None:
            self._fault(row, "correct", _("There is no score here. Write the digits, or absent as the status."))
            return
        try:
            entry = read(typed, attempt, year=row.year, items=(), on=self.on)
        except Refused as refused:
            self._fault(row, _column_of(refused.field, self.columns), str(refused.sentence))
        else:
            self.found.append(Scored(row, attempt, entry, planned))

    def _fault(self, row: ScoreRow, name: str, sentence: str) -> None:
        self.faults.append(Fault(row.number, self.columns.head(name) if name else "", sentence))


def _column_of(field: str, columns: Columns) -> str:
    if field == "seconds" and not columns.has("seconds"):
        return "minutes"
    return {"taken_on": "date"}.get(field, field)


def _standing(school: School, rows: list[ScoreRow]) -> dict[tuple[int, int, date], list[Attempt]]:
    """The record's attempts by pupil, skill and day: the day it was taken, and the day of its check."""
    found: dict[tuple[int, int, date], list[Attempt]] = {}
    days = [row.on for row in rows]
    if not days:
        return found
    attempts = Attempt.objects.filter(school=school, pupil__in={row.pupil.pk for row in rows})
    about = attempts.filter(check_sat__on__lte=max(days), taken_on__gte=min(days))
    for attempt in about.select_related("sheet", "check_sat").order_by("taken_on", "pk"):
        for day in {attempt.taken_on, attempt.check_sat.on}:
            found.setdefault((attempt.pupil_id, attempt.skill_id, day), []).append(attempt)
    return found


def _new(row: ScoreRow, school: School) -> Attempt:
    timed = row.sheet if row.sheet and not row.pupil.no_timed_checks else None
    return Attempt(
        school=school,
        pupil=row.pupil,
        skill=row.skill,
        sheet=row.sheet,
        class_group=row.place.class_group,
        grade=row.place.grade,
        taken_on=row.on,
        mode=row.pupil.mode,
        adjustments=row.pupil.adjustments,
        seconds=timed.seconds if timed else None,
    )


def _otherwise(row: ScoreRow, attempt: Attempt) -> str:
    labels = {
        "status": _("status"),
        "correct": _("digits correct"),
        "wrong": _("digits wrong"),
        "omitted": _("digits left out"),
        "seconds": _("seconds"),
        "setting": _("setting"),
        "mode": _("way of answering"),
        "sheet": _("sheet"),
    }
    held = ", ".join(f"{labels[name]} {_held(attempt, name)}" for name in row.differs(attempt))
    sentence = _(
        "The record says otherwise for this pupil, skill and day: %(held)s. Correct it on the page of that check, or "
        "leave this row out."
    )
    return sentence % {"held": held}


def _held(attempt: Attempt, name: str) -> str:
    if name in ("status", "setting", "mode"):
        return str(getattr(attempt, f"get_{name}_display")())
    value = getattr(attempt, name)
    return "–" if value is None else str(value.code if name == "sheet" else value)


def _warnings(found: Iterable[Scored], other_names: list[int]) -> Iterator[str]:
    untimed = sum(1 for one in found if one.entry.status == "done" and one.entry.seconds is None)
    if untimed:
        sentence = ngettext(
            "%(count)s row has no time: it counts for accuracy, not for the rate.",
            "%(count)s rows have no time: they count for accuracy, not for the rate.",
            untimed,
        )
        yield sentence % {"count": untimed}
    if other_names:
        sentence = ngettext(
            "In row %(rows)s the name is not the one on record for this reference. The reference decides.",
            "In rows %(rows)s the names are not those on record for these references. The references decide.",
            len(other_names),
        )
        shown = ", ".join(map(str, other_names[:10])) + (" …" if len(other_names) > 10 else "")
        yield sentence % {"rows": shown}
