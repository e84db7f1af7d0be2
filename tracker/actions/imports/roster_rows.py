"""Writes a planned roster: new classes, new pupils, changed names and moves of class."""

from datetime import date, timedelta
from typing import Any

from tracker.access.viewer import Viewer
from tracker.actions.imports.columns import plain
from tracker.actions.imports.roster_file import RosterPlan, RosterRow
from tracker.actions.record import Change, note_changes
from tracker.models import ClassGroup, Enrolment, Pupil, SchoolYear
from tracker.queries.names import sort_name


def write_roster(plan: RosterPlan, *, by: Viewer, on: date) -> dict[str, Any]:
    """Gives back the trail that undoing follows."""
    year = SchoolYear.objects.get(school=by.school, starts__lte=on, ends__gte=on)
    made = ClassGroup.objects.bulk_create(
        ClassGroup(school=by.school, year=year, name=name) for name in plan.new_classes
    )
    groups = {plain(group.name): group for group in ClassGroup.objects.filter(year=year)}
    pupils = _make_pupils(plan, groups, by)
    changed = [_change_pupil(row, pupil, groups[plain(row.class_name)], on) for row, pupil in plan.change]
    note_changes(
        [Change("add-pupil", "pupil", pupil.public_id, pupil.public_id) for pupil in pupils]
        + [Change("change-pupil", "pupil", one["pupil"], one["pupil"], before=one["before"]) for one in changed],
        by=by,
        on=on,
    )
    return {
        "classes": [group.public_id for group in made],
        "pupils": [pupil.public_id for pupil in pupils],
        "changed": changed,
    }


def _make_pupils(plan: RosterPlan, groups: dict[str, ClassGroup], by: Viewer) -> list[Pupil]:
    pupils = Pupil.objects.bulk_create(
        Pupil(
            school=by.school,
            school_ref=row.school_ref,
            given_name=row.given_name,
            family_name=row.family_name,
            sort_name=sort_name(row.given_name, row.family_name),
            joined_on=row.joined_on,
        )
        for row in plan.make
    )
    Enrolment.objects.bulk_create(
        _place(row, pupil, groups[plain(row.class_name)], row.joined_on)
        for row, pupil in zip(plan.make, pupils, strict=True)
    )
    return pupils


def _place(row: RosterRow, pupil: Pupil, group: ClassGroup, starts: date) -> Enrolment:
    begins = max(starts, group.year.starts)
    return Enrolment(school=pupil.school, pupil=pupil, class_group=group, grade=row.grade, starts=begins)


def _change_pupil(row: RosterRow, pupil: Pupil, group: ClassGroup, on: date) -> dict[str, Any]:
    before: dict[str, Any] = {"given_name": pupil.given_name, "family_name": pupil.family_name}
    pupil.given_name, pupil.family_name = row.given_name, row.family_name
    pupil.sort_name = sort_name(row.given_name, row.family_name)
    pupil.save(update_fields=["given_name", "family_name", "sort_name"])
    place = Enrolment.objects.filter(pupil=pupil, ends__isnull=True).order_by("-starts").first()
    if place and place.class_group_id == group.pk and place.grade == row.grade:
        return {"pupil": pupil.public_id, "before": before, "ended": "", "begun": ""}
    ended = ""
    if place and place.starts >= on:
        # The old place never held a day, so it leaves no trace but in the trail.
        before["place"] = {"class": place.class_group.public_id, "grade": place.grade, "starts": str(place.starts)}
        place.delete()
    elif place:
        place.ends = on - timedelta(days=1)
        place.save(update_fields=["ends"])
        ended = place.public_id
    begun = _place(row, pupil, group, on)
    begun.save()
    return {"pupil": pupil.public_id, "before": before, "ended": ended, "begun": begun.public_id}
