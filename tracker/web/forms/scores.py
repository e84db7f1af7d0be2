"""Reads what was typed into the score grid, box by box, from a script or from the plain form."""

import hashlib
import json
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _

from tracker.actions.errors import Refused
from tracker.actions.scores import Typed
from tracker.progress.grid import REACHED, GridRow

MARKED = ("absent", "stopped")
NUMBERS = ("correct", "wrong", "omitted", "reached", "seconds")
LONGEST_NUMBER = 9
MOST_VERSION = 10**LONGEST_NUMBER


def read_number(given: object, field: str) -> int | None:
    """A whole number in any script; an empty box is None, anything else is refused with what was typed."""
    if given is None or isinstance(given, int):
        return given
    text = str(given).strip()
    if not text:
        return None
    if not text.isdecimal() or len(text) > LONGEST_NUMBER:
        raise Refused(_("“%(given)s” is not a whole number; type digits only.") % {"given": text[:20]}, field)
    return int(text)


@dataclass(frozen=True)
class Sent:
    """What the grid sends for one row."""

    user: str
    key: str
    base_version: int
    typed: Typed


def read_sent(body: bytes) -> Sent | None:
    """None when it is not what the grid sends."""
    try:
        given = json.loads(body)
        typed, key, base = given["typed"], given["key"], given["base_version"]
        numbers = {name: typed.get(name) for name in NUMBERS}
        status, confirmed = typed.get("status", "done"), typed.get("confirmed", False)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    if not (isinstance(status, str) and type(confirmed) is bool and _is_key(key) and _is_version(base)):
        return None
    read: dict[str, Any] = {name: read_number(value, name) for name, value in numbers.items()}
    return Sent(str(given.get("user", "")), key, base, Typed(**read, status=status, confirmed=confirmed))


def _is_key(given: object) -> bool:
    """What a database can hold: PostgreSQL stores no NUL, and no database half of a surrogate pair."""
    return isinstance(given, str) and given.isprintable()


def _is_version(given: object) -> bool:
    return type(given) is int and 0 <= given < MOST_VERSION


@dataclass(frozen=True)
class Line:
    """One row of the form: what stands in its boxes, and what was wrong with it."""

    row: GridRow
    was: str
    first: str = ""
    wrong: str = ""
    seconds: str = ""
    status: str = ""
    confirmed: bool = False
    error: str = ""
    field: str = ""

    @property
    def state(self) -> str:
        return "doubt" if self.error else self.row.state

    @property
    def asks_time(self) -> bool:
        doubt = self.row.answer.doubt
        return bool(self.seconds) or (doubt is not None and doubt.code == "finished-needs-time")

    @property
    def may_confirm(self) -> bool:
        """More digits wrong than the sheet holds can be right: a pupil may write more than was asked."""
        if not self.error or self.field != "wrong" or not (self.first.isdecimal() and self.wrong.isdecimal()):
            return False
        holds = self.row.holds
        return holds is not None and int(self.first) <= holds < int(self.first) + int(self.wrong)

    @property
    def base_version(self) -> int:
        """Where it was lost, the oldest: a row that was typed since is then disputed, never written over."""
        version = self.was.partition("|")[0]
        return int(version) if version.isdecimal() and len(version) <= LONGEST_NUMBER else 0

    @property
    def is_changed(self) -> bool:
        return self.confirmed or self.was.partition("|")[2] != self._boxes()

    def _boxes(self) -> str:
        return "|".join((self.first, self.wrong, self.seconds, self.status))

    def typed(self) -> Typed:
        first: dict[str, Any] = {self.row.first: read_number(self.first, self.row.first)}
        wrong = read_number(self.wrong, "wrong")
        seconds = read_number(self.seconds, "seconds")
        empty = first[self.row.first] is None and wrong is None
        status = self.status or ("due" if empty else "done")
        return Typed(
            **first,
            wrong=wrong,
            omitted=None if empty else self.row.omitted,
            seconds=None if empty else seconds,
            status=status,
            confirmed=self.confirmed,
        )

    def refused(self, refusal: Refused) -> "Line":
        return replace(self, error=refusal.sentence, field=refusal.field)


def line_of(row: GridRow) -> Line:
    """The row as it is kept."""
    line = Line(
        row=row,
        was="",
        first=_text(row.first_value),
        wrong=_text(row.wrong),
        seconds=_text(row.seconds),
        status=row.status if row.status in MARKED else "",
    )
    return replace(line, was=f"{row.version}|{line._boxes()}")


def _text(number: int | None) -> str:
    return "" if number is None else str(number)


def posted_line(row: GridRow, posted: Mapping[str, Any]) -> Line:
    """The row as it was sent. Where nothing about it was sent, it is as it is kept; so is a mark that no choice was
    shown for, which is how the page looks with scripts."""
    kept = line_of(row)
    was = posted.get(f"was-{row.attempt_id}")
    if was is None:
        return kept
    first, wrong, seconds = (str(posted.get(f"{name}-{row.attempt_id}", "")).strip() for name in BOXES)
    marked = was.rpartition("|")[2]
    empty = not (first or wrong)
    unseen = marked if empty or marked == "stopped" else ""
    return Line(
        row=row,
        was=was,
        first=first,
        wrong=wrong,
        seconds=seconds,
        status=str(posted.get(f"status-{row.attempt_id}", unseen)),
        confirmed=posted.get("confirm") == row.attempt_id,
    )


BOXES = ("first", "wrong", "seconds")


def page_key_of(sent: str) -> str:
    """The key of the page that was sent, or a new one."""
    return sent if sent and _is_key(sent) else secrets.token_hex(6)


def save_key(page_key: str, line: Line) -> str:
    """The same page sent twice with the same boxes is one save; with other boxes it is another."""
    said = f"{line.row.attempt_id}|{line.was}|{line._boxes()}|{line.confirmed}"
    return f"{page_key[:12]}-{hashlib.sha256(said.encode()).hexdigest()[:20]}"


def with_faults(rows: Sequence[GridRow], faulty: Mapping[str, Line]) -> list[Line]:
    """Rows as they are kept now; faulty ones keep what was typed."""
    return [replace(faulty[row.attempt_id], row=row) if row.attempt_id in faulty else line_of(row) for row in rows]


def first_label(first: str) -> str:
    return _("Last item reached") if first == REACHED else _("Digits correct")
