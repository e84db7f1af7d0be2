"""Finds which column holds what: heads in any order, case and wording that schools use."""

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from tracker.actions.imports.faults import Fault
from tracker.actions.imports.reading import FileRow

ROSTER = {
    "school_ref": ("school reference", "reference", "ref", "pupil reference", "pupil ref", "pupil id", "pupil number",
                   "student id", "student number", "id", "admission number", "adm no", "roll number", "number"),
    "name": ("name", "pupil", "pupil name", "student", "student name", "full name", "child"),
    "given_name": ("given name", "first name", "forename", "given", "first"),
    "family_name": ("family name", "last name", "surname", "family", "last"),
    "class": ("class", "class name", "group", "form group", "homeroom", "room"),
    "grade": ("grade", "year", "year group", "grade level", "level"),
    "joined_on": ("joined on", "joined", "start", "start date", "from", "date joined", "entry date"),
}  # fmt: skip
SCORES = {
    "school_ref": ROSTER["school_ref"],
    "name": ROSTER["name"],
    "given_name": ROSTER["given_name"],
    "family_name": ROSTER["family_name"],
    "class": ROSTER["class"],
    "skill": ("skill", "step", "topic", "skill key"),
    "date": ("date", "taken on", "check date", "on", "day", "date taken"),
    "sheet": ("sheet", "sheet code", "form", "code"),
    "correct": ("digits correct", "correct", "dc", "correct digits", "right", "digits right"),
    "wrong": ("digits wrong", "wrong", "errors", "wrong digits", "incorrect", "digits incorrect", "mistakes"),
    "omitted": ("digits omitted", "omitted", "left out", "digits left out", "skipped"),
    "seconds": ("seconds", "secs", "sec", "time in seconds", "seconds taken"),
    "minutes": ("minutes", "mins", "min", "time", "time in minutes"),
    "status": ("status", "attendance", "note", "remark"),
    "setting": ("setting", "where", "place"),
    "mode": ("mode", "way of answering"),
}  # fmt: skip


def plain(text: str) -> str:
    """A head or word without case, accents and punctuation, so that `École-Réf.` and `ecole ref` are one."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    kept = (letter if letter.isalnum() else " " for letter in letters if not unicodedata.combining(letter))
    return " ".join("".join(kept).split())


@dataclass(frozen=True)
class Columns:
    """Where each field stands, and how the file itself calls it."""

    places: Mapping[str, int]
    heads: Mapping[str, str]
    ignored: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = field(default=())

    def cell(self, row: FileRow, name: str) -> str:
        place = self.places.get(name)
        return row.cells[place] if place is not None and place < len(row.cells) else ""

    def has(self, name: str) -> bool:
        return name in self.places

    def head(self, name: str) -> str:
        return self.heads.get(name, name)


def find_columns(
    head: Sequence[str], known: Mapping[str, Sequence[str]], *, needed: Sequence[Sequence[str]]
) -> Columns:
    """`needed` lists alternatives: of each inner list at least one field must be there."""
    by_word = {plain(word): name for name, words in known.items() for word in (name, *words)}
    places: dict[str, int] = {}
    ignored: list[str] = []
    faults: list[Fault] = []
    for place, text in enumerate(head):
        name = by_word.get(plain(text))
        if name is None:
            ignored += [text] if text else []
        elif name in places:
            faults.append(_twice(text, head[places[name]]))
        else:
            places[name] = place
    for choices in needed:
        if not any(choice in places for choice in choices):
            faults.append(_missing(choices, known))
    heads = {name: head[place] for name, place in places.items()}
    return Columns(places=places, heads=heads, ignored=tuple(ignored), faults=tuple(faults))


def _twice(text: str, first: str) -> Fault:
    sentence = _("This column says the same as “%(first)s”. Keep one of them.") % {"first": first}
    return Fault(row=1, column=text, sentence=sentence)


def _missing(choices: Sequence[str], known: Mapping[str, Sequence[str]]) -> Fault:
    names = ", ".join(f"“{known[choice][0]}”" for choice in choices)
    if len(choices) == 1:
        sentence = _("A column is missing: %(names)s.") % {"names": names}
    else:
        sentence = _("One of these columns is needed: %(names)s.") % {"names": names}
    return Fault(row=1, column="", sentence=sentence)
