"""A file of pupils: what each row means for the school, and what is wrong with it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tracker.actions.imports.columns import ROSTER, find_columns, overlong
from tracker.actions.imports.faults import Fault
from tracker.actions.imports.reading import FileRows
from tracker.actions.imports.roster_row import RosterReader, RosterRow
from tracker.actions.imports.school_index import place_on
from tracker.models import ClassGroup, Enrolment, Pupil, School, SchoolYear
from tracker.queries.names import fold

NEEDED = (("school_ref",), ("name", "given_name"), ("class",), ("grade",))


@dataclass(frozen=True)
class Known:
    """A pupil of the record whom the file shows otherwise, with the place in a class that holds, if one does."""

    row: RosterRow
    pupil: Pupil
    place: Enrolment | None
    moves: bool


@dataclass(frozen=True)
class RosterPlan:
    """What loading would do. With faults, nothing is loaded."""

    kind = "roster"
    year: SchoolYear
    make: tuple[RosterRow, ...] = ()
    change: tuple[Known, ...] = ()
    same: int = 0
    new_classes: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    ignored: tuple[str, ...] = ()
    totals_left_out: int = 0
    warnings: tuple[str, ...] = ()
    begins: date = date.min

    @property
    def rows(self) -> int:
        return len(self.make) + len(self.change) + self.same

    @property
    def changes_something(self) -> bool:
        return bool(self.make or self.change)


def plan_roster(file: FileRows, *, school: School, year: SchoolYear, on: date) -> RosterPlan:
    columns = find_columns(file, ROSTER, needed=NEEDED)
    if columns.faults:
        return RosterPlan(year, faults=columns.faults, ignored=columns.ignored)
    stand = {pupil.school_ref.casefold(): pupil for pupil in Pupil.objects.filter(school=school)}
    reader = RosterReader(columns, year, stand)
    pupils = [row for row in file.rows if not columns.is_total(row, NEEDED)]
    rows = [found for row in pupils if (found := reader.read(row))]
    begins = max(on, year.starts)
    known = list(_known(rows, stand, year, begins=begins))
    changed = tuple(one for one in known if one.moves or not _has_name(one.row, one.pupil))
    faults = [
        *overlong(file.head, pupils),
        *reader.faults,
        *_twice(rows, columns.head("school_ref")),
        *_planned_moves(changed, begins, columns.head("class")),
    ]
    return RosterPlan(
        year,
        make=tuple(row for row in rows if row.school_ref.casefold() not in stand),
        change=changed,
        same=len(known) - len(changed),
        new_classes=_new_classes(rows, year),
        faults=tuple(sorted(faults, key=lambda fault: fault.row)),
        ignored=columns.ignored,
        totals_left_out=len(file.rows) - len(pupils),
        warnings=tuple(_warnings(known)),
        begins=begins,
    )


def class_key(name: str) -> str:
    """Classes are one whatever the case and accents; a name of signs alone is compared as it stands."""
    return fold(name) or name


def _known(rows: Iterable[RosterRow], stand: Mapping[str, Pupil], year: SchoolYear, *, begins: date) -> Iterator[Known]:
    places: dict[int, list[Enrolment]] = {}
    held = Enrolment.objects.filter(school=year.school_id, pupil__in=[pupil.pk for pupil in stand.values()])
    for place in held.select_related("class_group").order_by("starts"):
        places.setdefault(place.pupil_id, []).append(place)
    for row in rows:
        pupil = stand.get(row.school_ref.casefold())
        if pupil is not None:
            own = places.get(pupil.pk, [])
            held_then = place_on(own, begins) or (own[-1] if own and own[-1].starts > begins else None)
            yield Known(row, pupil, held_then, moves=not _is_in(row, held_then, year))


def _is_in(row: RosterRow, place: Enrolment | None, year: SchoolYear) -> bool:
    return (
        place is not None
        and place.class_group.year_id == year.pk
        and class_key(place.class_group.name) == class_key(row.class_name)
        and place.grade == row.grade
    )


def _has_name(row: RosterRow, pupil: Pupil) -> bool:
    return (row.given_name, row.family_name) == (pupil.given_name, pupil.family_name)


def _new_classes(rows: Iterable[RosterRow], year: SchoolYear) -> tuple[str, ...]:
    there = {class_key(group.name) for group in ClassGroup.objects.filter(year=year)}
    first: dict[str, str] = {}
    for row in rows:
        first.setdefault(class_key(row.class_name), row.class_name)
    return tuple(name for key, name in first.items() if key not in there)


def _twice(rows: Iterable[RosterRow], column: str) -> Iterator[Fault]:
    first: dict[str, int] = {}
    for row in rows:
        earlier = first.setdefault(row.school_ref.casefold(), row.number)
        if earlier != row.number:
            sentence = _("This reference stands in row %(first)s already; each pupil has their own.")
            yield Fault(row.number, column, sentence % {"first": earlier})


def _planned_moves(changed: Iterable[Known], begins: date, column: str) -> Iterator[Fault]:
    """A file shows the classes of one day, so it can't tell what should become of a move that is still to come."""
    moving = {one.pupil.pk: one for one in changed if one.moves and one.place and one.place.starts <= begins}
    ahead = Enrolment.objects.filter(pupil__in=moving, starts__gt=begins)
    for pupil in sorted(set(ahead.values_list("pupil_id", flat=True))):
        sentence = _("This pupil moves to another class at a later day already. Change that on the pupil’s own page.")
        yield Fault(moving[pupil].row.number, column, sentence)


def _warnings(known: Iterable[Known]) -> Iterator[str]:
    other = sum(1 for one in known if one.row.joined_on not in (None, one.pupil.joined_on))
    if other:
        sentence = ngettext(
            "%(count)s pupil is on record with another first day than in the file. The record stays.",
            "%(count)s pupils are on record with another first day than in the file. The record stays.",
            other,
        )
        yield sentence % {"count": other}
