"""Reads what was typed for one row: refuses what can't be, and makes the counts that are kept."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from tracker.actions.errors import Refused
from tracker.actions.reach import written
from tracker.measures.scoring import score_last_item
from tracker.models import Attempt, School, SchoolYear

MOST_DIGITS, MOST_SECONDS = 999, 3600
SAT = frozenset({Attempt.Status.DONE, Attempt.Status.STOPPED})
COUNTS = ("correct", "wrong", "omitted", "reached")


@dataclass(frozen=True)
class Typed:
    """One row as typed. None means an empty box; for mode, setting and day: as planned."""

    correct: int | None = None
    wrong: int | None = None
    omitted: int | None = None
    reached: int | None = None
    seconds: int | None = None
    status: str = "done"
    mode: str | None = None
    setting: str | None = None
    taken_on: date | None = None
    confirmed: bool = False


@dataclass(frozen=True)
class Entry:
    """One row as it is to be kept."""

    status: str
    mode: str
    setting: str
    taken_on: date
    correct: int | None
    wrong: int | None
    omitted: int | None
    reached: int | None
    seconds: int | None
    typed_as: str
    confirmed: bool

    def as_json(self) -> dict[str, Any]:
        return {**vars(self), "taken_on": self.taken_on.isoformat()}

    def says_the_same(self, other: "Entry") -> bool:
        """Whether two people mean the same, however they typed it."""
        return self._meaning() == other._meaning()

    def _meaning(self) -> tuple[object, ...]:
        counts = (self.correct, self.wrong, self.omitted or 0, self.seconds)
        return (self.status, self.mode, self.setting, self.taken_on, counts)

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> "Entry":
        return cls(**{**kept, "taken_on": date.fromisoformat(kept["taken_on"])})


def entry_of(row: Attempt) -> Entry:
    return Entry(**{name: getattr(row, name) for name in Entry.__dataclass_fields__})


def read(typed: Typed, row: Attempt, *, year: SchoolYear, items: Sequence[int], on: date) -> Entry:
    """`items` are the running totals of the sheet's key, needed when the last item reached was typed."""
    _refuse_choices(typed)
    entry = replace(
        entry_of(row),
        status=typed.status,
        mode=typed.mode or row.mode,
        setting=typed.setting or row.setting,
        taken_on=typed.taken_on or row.taken_on,
        confirmed=typed.confirmed,
    )
    _refuse_day(entry, typed, row, year=year, on=on)
    if typed.status not in SAT or (typed.status == Attempt.Status.STOPPED and not _has_counts(typed)):
        return _without_counts(entry, typed)
    counted = _by_reach(entry, typed, items) if typed.reached is not None else _by_counts(entry, typed)
    _refuse_beyond_sheet(counted, row)
    return replace(counted, seconds=_seconds(typed, row))


def _has_counts(typed: Typed) -> bool:
    return any(getattr(typed, name) is not None for name in COUNTS)


def _refuse_choices(typed: Typed) -> None:
    for name, choices in (("status", Attempt.Status), ("mode", Attempt.Mode), ("setting", Attempt.Setting)):
        given = getattr(typed, name)
        if given is not None and given not in choices.values:
            allowed = ", ".join(str(label) for label in choices.labels)
            raise Refused(
                _("“%(given)s” can't be chosen; allowed are: %(all)s.") % {"given": given, "all": allowed}, name
            )
    for name in COUNTS:
        _refuse_number(name, getattr(typed, name), least=0, most=MOST_DIGITS)
    _refuse_number("seconds", typed.seconds, least=1, most=MOST_SECONDS)


def _refuse_number(name: str, given: object, *, least: int, most: int) -> None:
    if given is None:
        return
    if not isinstance(given, int) or isinstance(given, bool) or not least <= given <= most:
        raise Refused(_number_sentence(name) % {"least": least, "most": most}, name)


def _number_sentence(name: str) -> str:
    return {
        "correct": _("Digits correct is a whole number from %(least)s to %(most)s."),
        "wrong": _("Digits wrong is a whole number from %(least)s to %(most)s."),
        "omitted": _("Digits left out is a whole number from %(least)s to %(most)s."),
        "reached": _("The last item reached is a whole number from %(least)s to %(most)s."),
        "seconds": _("The time is a whole number of seconds from %(least)s to %(most)s, or empty."),
    }[name]


def _refuse_day(entry: Entry, typed: Typed, row: Attempt, *, year: SchoolYear, on: date) -> None:
    if entry.status == Attempt.Status.DUE:
        return
    day, pupil = entry.taken_on, row.pupil
    if day > on:
        sentence = _("%(day)s has not come yet. Type the day on which the check was taken, %(today)s at the latest.")
        raise Refused(sentence % {"day": written(day), "today": written(on)}, "taken_on")
    if typed.taken_on is None:
        return
    if not year.starts <= day <= year.ends:
        sentence = _("The day must lie in the school year, from %(first)s to %(last)s.")
        raise Refused(sentence % {"first": written(year.starts), "last": written(year.ends)}, "taken_on")
    if day < pupil.joined_on or (pupil.left_on is not None and day > pupil.left_on):
        sentence = _("This pupil joined on %(joined)s; a check can't be dated before that, nor after leaving.")
        raise Refused(sentence % {"joined": written(pupil.joined_on)}, "taken_on")


def _without_counts(entry: Entry, typed: Typed) -> Entry:
    """Absent, not given, due again, or stopped before anything could be counted."""
    if _has_counts(typed):
        label = Attempt.Status(typed.status).label
        sentence = _("A row marked “%(status)s” has no digits; empty the boxes or choose “done” or “stopped”.")
        first = next(name for name in COUNTS if getattr(typed, name) is not None)
        raise Refused(sentence % {"status": label}, first)
    return replace(entry, correct=None, wrong=None, omitted=None, reached=None, typed_as="")


def _by_counts(entry: Entry, typed: Typed) -> Entry:
    for name in ("correct", "wrong"):
        if getattr(typed, name) is None:
            raise Refused(_missing_sentence(name), name)
    return replace(
        entry,
        correct=typed.correct,
        wrong=typed.wrong,
        omitted=typed.omitted,
        reached=None,
        typed_as=School.Typing.CORRECT_WRONG,
    )


def _missing_sentence(name: str) -> str:
    return {
        "correct": _("Type how many digits were correct, 0 if none."),
        "wrong": _("Type how many digits were wrong, 0 if none."),
    }[name]


def _by_reach(entry: Entry, typed: Typed, items: Sequence[int]) -> Entry:
    if typed.correct is not None:
        raise Refused(_("Type either the digits correct or the last item reached, not both."), "reached")
    if not items:
        raise Refused(_("This sheet has no list of items; type the digits correct and wrong."), "reached")
    if typed.wrong is None:
        raise Refused(_missing_sentence("wrong"), "wrong")
    last, wrong, left_out = typed.reached or 0, typed.wrong, typed.omitted or 0
    if last > len(items):
        sentence = _("The sheet has %(items)s items; the last one reached can't be %(given)s.")
        raise Refused(sentence % {"items": len(items), "given": last}, "reached")
    up_to = items[last - 1] if last else 0
    if wrong + left_out > up_to:
        sentence = _("Up to item %(item)s the sheet holds %(digits)s digits; wrong and left out can't be more.")
        raise Refused(sentence % {"item": last, "digits": up_to}, "wrong")
    score = score_last_item(items, last, wrong=wrong, left_out=left_out)
    return replace(
        entry,
        correct=score.correct,
        wrong=score.wrong,
        omitted=score.omitted,
        reached=last,
        typed_as=School.Typing.REACHED_WRONG,
    )


def _refuse_beyond_sheet(entry: Entry, row: Attempt) -> None:
    holds = row.sheet.digits_possible if row.sheet else None
    correct, wrong, omitted = entry.correct or 0, entry.wrong or 0, entry.omitted or 0
    if holds is None:
        return
    if correct + omitted > holds:
        sentence = _("This sheet holds %(holds)s digits; digits correct can be 0 to %(most)s.")
        raise Refused(sentence % {"holds": holds, "most": max(holds - omitted, 0)}, "correct")
    # A pupil may write more digits than an answer has, so a second look can confirm it.
    if correct + wrong + omitted > holds and not entry.confirmed:
        sentence = _(
            "This sheet holds %(holds)s digits; with %(correct)s correct, digits wrong can be 0 to %(most)s. "
            "If the pupil wrote more digits than that, confirm the entry."
        )
        most = max(holds - correct - omitted, 0)
        raise Refused(sentence % {"holds": holds, "correct": correct, "most": most}, "wrong")


def _seconds(typed: Typed, row: Attempt) -> int | None:
    """A row planned with a time keeps it unless another was taken; a row planned without stays untimed."""
    if typed.seconds is not None and row.pupil.no_timed_checks:
        raise Refused(_("This pupil sits no timed checks; leave the time empty."), "seconds")
    if typed.seconds is not None or row.seconds is None:
        return typed.seconds
    return (row.sheet.seconds if row.sheet else None) or row.seconds
