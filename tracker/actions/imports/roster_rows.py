"""Writes a planned roster: new classes, new pupils, changed names and moves of class."""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import Any

from tracker.access.viewer import Viewer
from tracker.actions.imports.roster_file import Known, RosterPlan, class_key
from tracker.actions.imports.roster_row import RosterRow
from tracker.actions.record import Change, note_changes
from tracker.models import ClassGroup, Enrolment, Pupil
from tracker.queries.names import sort_name

NAMES = ("given_name", "family_name", "sort_name", "left_on")
PLACE = ("class_group", "grade", "ends")


def write_roster(plan: RosterPlan, *, by: Viewer, on: date) -> dict[str, Any]:
    """Gives back the trail that undoing follows."""
    made = ClassGroup.objects.bulk_create(
        ClassGroup(school=by.school, year=plan.year, name=name) for name in plan.new_classes
    )
    groups = {class_key(group.name): group for group in ClassGroup.objects.filter(year=plan.year)}
    pupils = _make_pupils(plan, groups, by)
    trail = [_before(one) for one in plan.change]
    _change_names(plan)
    begun = _move(plan, groups, by)
    for line, enrolment in zip(trail, begun, strict=True):
        line["begun"] = enrolment.public_id if enrolment else ""
    note_changes(_changes(made, pupils, plan), by=by, on=on)
    return {
        "classes": [group.public_id for group in made],
        "pupils": [pupil.public_id for pupil in pupils],
        "changed": trail,
    }


def _make_pupils(plan: RosterPlan, groups: Mapping[str, ClassGroup], by: Viewer) -> list[Pupil]:
    pupils = Pupil.objects.bulk_create(
        Pupil(
            school=by.school,
            school_ref=row.school_ref,
            given_name=row.given_name,
            family_name=row.family_name,
            sort_name=sort_name(row.given_name, row.family_name),
            joined_on=row.joined_on or plan.year.starts,
        )
        for row in plan.make
    )
    Enrolment.objects.bulk_create(
        _enrolment(row, pupil, groups, starts=max(pupil.joined_on, plan.year.starts))
        for row, pupil in zip(plan.make, pupils, strict=True)
    )
    return pupils


def _enrolment(row: RosterRow, pupil: Pupil, groups: Mapping[str, ClassGroup], *, starts: date) -> Enrolment:
    group = groups[class_key(row.class_name)]
    return Enrolment(school_id=pupil.school_id, pupil=pupil, class_group=group, grade=row.grade, starts=starts)


def _before(one: Known) -> dict[str, Any]:
    """What stood before, by public id: names, and the place in a class if the file moves the pupil."""
    line: dict[str, Any] = {
        "pupil": one.pupil.public_id,
        "given_name": one.pupil.given_name,
        "family_name": one.pupil.family_name,
        "left_on": _iso(one.pupil.left_on),
    }
    if one.moves and one.place:
        place = one.place
        line |= {"place": place.public_id, "class": place.class_group.public_id, "grade": place.grade}
        line["ends"] = _iso(place.ends)
    return line


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _change_names(plan: RosterPlan) -> None:
    pupils = []
    for one in plan.change:
        pupil, row = one.pupil, one.row
        pupil.given_name, pupil.family_name = row.given_name, row.family_name
        pupil.sort_name = sort_name(row.given_name, row.family_name)
        # Whoever is on the list again has come back.
        pupil.left_on = None if one.moves else pupil.left_on
        pupils.append(pupil)
    Pupil.objects.bulk_update(pupils, NAMES)


def _move(plan: RosterPlan, groups: Mapping[str, ClassGroup], by: Viewer) -> list[Enrolment | None]:
    """For each changed pupil the enrolment that begins, if one does."""
    begun: list[Enrolment | None] = []
    touched: list[Enrolment] = []
    for one in plan.change:
        new = one.moves and (one.place is None or one.place.starts < plan.begins)
        begun.append(_enrolment(one.row, one.pupil, groups, starts=plan.begins) if new else None)
        if one.moves and one.place:
            touched.append(_end_or_mend(one, one.place, groups, begins=plan.begins))
    Enrolment.objects.bulk_update(touched, PLACE)
    Enrolment.objects.bulk_create([enrolment for enrolment in begun if enrolment])
    return begun


def _end_or_mend(one: Known, place: Enrolment, groups: Mapping[str, ClassGroup], *, begins: date) -> Enrolment:
    """A place that has not lasted a day is the new one itself."""
    if place.starts < begins:
        place.ends = begins - timedelta(days=1)
    else:
        place.class_group, place.grade = groups[class_key(one.row.class_name)], one.row.grade
    return place


def _changes(made: list[ClassGroup], pupils: list[Pupil], plan: RosterPlan) -> Iterator[Change]:
    """Names never stand in the record, only that they were changed."""
    for group in made:
        yield Change("add-class", "class", group.public_id, after={"name": group.name, "year": plan.year.name})
    for pupil in pupils:
        yield Change("add-pupil", "pupil", pupil.public_id, pupil.public_id)
    for one in plan.change:
        key = one.pupil.public_id
        yield Change("move-pupil" if one.moves else "change-pupil", "pupil", key, key)
