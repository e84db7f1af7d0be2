"""Finds which column holds what: heads in any order, case and wording that schools use."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from tracker.actions.imports.faults import Fault, shown
from tracker.actions.imports.reading import FileRow, FileRows
from tracker.queries.names import fold

ROSTER = {
    "school_ref": ("school reference", "reference", "ref", "pupil reference", "pupil ref", "pupil id", "pupil number",
                   "student id", "student number", "id", "admission number", "adm no", "roll number"),
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
    "sheet": ("sheet", "sheet code", "code"),
    "correct": ("digits correct", "correct", "dc", "correct digits", "right", "digits right"),
    "wrong": ("digits wrong", "wrong", "errors", "wrong digits", "incorrect", "digits incorrect", "mistakes"),
    "omitted": ("digits omitted", "omitted", "left out", "digits left out", "skipped"),
    "seconds": ("seconds", "secs", "sec", "time in seconds", "seconds taken"),
    "minutes": ("minutes", "mins", "min", "time", "time in minutes"),
    "status": ("status", "attendance", "remark"),
    "setting": ("setting", "where", "place"),
    "mode": ("mode", "way of answering"),
    "confirmed": ("confirmed", "looked at again"),
}  # fmt: skip
# What the first filled cell says in a line that sums up a column.
TOTALS = {"total", "totals", "grand total", "sum", "average", "mean", "median", "class total", "class average", "count"}


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
        return shown(self.heads.get(name, name))

    def full_name(self, row: FileRow) -> str:
        parts = (self.cell(row, "given_name"), self.cell(row, "family_name"))
        return self.cell(row, "name") or " ".join(filter(None, parts))

    def is_total(self, row: FileRow, needed: Sequence[Sequence[str]]) -> bool:
        """A line that sums up says so first, has no other words, and leaves out something that every pupil's row
        needs. So a child called Sum is no total."""
        first, *others = filter(None, row.cells)
        lacks = any(not any(self.cell(row, name) for name in choices) for choices in needed)
        return fold(first) in TOTALS and lacks and not any(map(str.isalpha, "".join(others)))


def find_columns(file: FileRows, known: Mapping[str, Sequence[str]], *, needed: Sequence[Sequence[str]]) -> Columns:
    """`needed` lists alternatives: of each inner list at least one field must be there."""
    by_word = {fold(word): name for name, words in known.items() for word in (name, *words)}
    places: dict[str, int] = {}
    ignored: list[str] = []
    faults: list[Fault] = []
    for place, text in enumerate(file.head):
        name = by_word.get(fold(text))
        if name is None:
            ignored += [shown(text)] if text else []
        elif name in places:
            faults.append(_twice(file, place, places[name]))
        else:
            places[name] = place
    faults += [_missing(file, each, known) for each in needed if places.keys().isdisjoint(each)]
    heads = {name: file.head[place] for name, place in places.items()}
    return Columns(places=places, heads=heads, ignored=tuple(ignored), faults=tuple(faults))


def overlong(head: Sequence[str], rows: Iterable[FileRow]) -> Iterator[Fault]:
    """A comma or semicolon in a cell without quotation marks shifts all that follows by one, and a wrong count would
    be read from the neighbour."""
    width = max(place for place, text in enumerate(head) if text) + 1
    for row in rows:
        if any(row.cells[width:]):
            sentence = _(
                "This row has more cells than there are heads. A cell that holds a comma or semicolon, such as 24,5, "
                "needs quotation marks around it."
            )
            yield Fault(row.number, "", sentence)


def _twice(file: FileRows, place: int, first: int) -> Fault:
    sentence = _("This column says the same as “%(first)s”. Keep one of them.") % {"first": shown(file.head[first])}
    return Fault(row=file.head_number, column=shown(file.head[place]), sentence=sentence)


def _missing(file: FileRows, choices: Sequence[str], known: Mapping[str, Sequence[str]]) -> Fault:
    names = ", ".join(f"“{known[choice][0]}”" for choice in choices)
    if len(choices) == 1:
        sentence = _("A column is missing: %(names)s.") % {"names": names}
    else:
        sentence = _("One of these columns is needed: %(names)s.") % {"names": names}
    return Fault(row=file.head_number, column="", sentence=sentence)
