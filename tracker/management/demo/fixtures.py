"""Reads the invented school's people from fixtures_demo."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from tracker.actions.imports.cells import grade
from tracker.actions.imports.reading import read_file
from tracker.management.demo.model import Member

ROSTER = "roster.csv"
SCHOOL = "Pellamoor Cableway School"
# Which columns of the office's own list the model needs; loading it is the importer's business.
REFERENCE, CLASS, GRADE = "Adm. No.", "Form Group", "Year Group"


@dataclass(frozen=True)
class Person:
    """Somebody who signs in; `pupils` are the school references of children, or of those taught."""

    username: str
    name: str
    role: str
    class_name: str
    pupils: tuple[str, ...]
    language: str


@dataclass(frozen=True)
class Newcomer:
    """A pupil who comes in the middle of the year."""

    reference: str
    given_name: str
    family_name: str
    class_name: str
    grade: int
    week: int


@dataclass(frozen=True)
class Cast:
    """Everybody in the invented school."""

    members: tuple[Member, ...]
    newcomers: tuple[Newcomer, ...]
    people: tuple[Person, ...]
    languages: dict[str, str]

    def with_role(self, role: str) -> list[Person]:
        return [person for person in self.people if person.role == role]


def content(name: str) -> bytes:
    return _path(name).read_bytes()


def cast() -> Cast:
    rows = {row["reference"]: row for row in _table("pupils.csv")}
    late = list(_table("joined-later.csv"))
    newcomers = tuple(_newcomer(row) for row in late)
    members = [_member(rows[ref], class_name, year) for ref, class_name, year in _roster()]
    members += [Member(one.reference, "new", one.grade, ((one.week, one.class_name),)) for one in newcomers]
    return Cast(
        members=tuple(members),
        newcomers=newcomers,
        people=tuple(_person(row) for row in _table("people.csv")),
        languages={row["reference"]: row["languages"] for row in (*rows.values(), *late) if row["languages"]},
    )


def _path(name: str) -> Path:
    return Path(settings.BASE_DIR) / "fixtures_demo" / name


def _table(name: str) -> Iterator[dict[str, str]]:
    with _path(name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def _roster() -> Iterator[tuple[str, str, int]]:
    file = read_file(content(ROSTER))
    places = [file.head.index(head) for head in (REFERENCE, CLASS, GRADE)]
    for row in file.rows:
        reference, class_name, year = (row.cells[place] for place in places)
        # The list ends with a total.
        if row.cells[0] != "Total":
            yield reference, class_name, grade(year)


def _member(row: dict[str, str], class_name: str, year: int) -> Member:
    weeks = [int(row[name]) for name in ("from week", "to week") if row[name]]
    moves = ((weeks[0], row["to class"]),) if row["kind"] == "moved" else ()
    away = (weeks[0], weeks[1]) if row["kind"] == "away" else None
    came_to_regrouping = weeks[0] if row["kind"] == "stuck" else 1
    return Member(row["reference"], row["kind"], year, ((1, class_name), *moves), away, came_to_regrouping)


def _newcomer(row: dict[str, str]) -> Newcomer:
    names = (row["reference"], row["given name"], row["family name"], row["class"])
    return Newcomer(*names, int(row["grade"]), int(row["from week"]))


def _person(row: dict[str, str]) -> Person:
    theirs = tuple(row["pupils"].split())
    return Person(row["sign-in"], row["name"], row["role"], row["class"], theirs, row["language"])
