"""Classes, and the pupils in them."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.reach import demand, hold_school, reach, written
from tracker.actions.record import Change, note_change
from tracker.actions.standings import refresh
from tracker.models import Attempt, Check, ClassGroup, Enrolment, Pupil, School, Standing
from tracker.queries.names import sort_name

RIGHTS = ("manage-roster", "load-data")


@dataclass(frozen=True, kw_only=True)
class PupilDetails:
    """What the school knows about a pupil beside class and grade."""

    school_ref: str
    given_name: str
    family_name: str = ""
    no_timed_checks: bool = False
    mode: str = "written"
    adjustments: str = ""
    written_method: str = ""
    home_languages: str = ""


@transaction.atomic
def add_class(*, year_id: str, name: str, by: Viewer, on: date) -> ClassGroup:
    demand(by, *RIGHTS)
    school = hold_school(by)
    year = reach(school.years.all(), year_id)
    _refuse_same_class(ClassGroup.objects.filter(year=year), name)
    group = ClassGroup.objects.create(school=school, year=year, name=name)
    note_change(Change("add-class", "class", group.public_id, after={"name": name, "year": year.name}), by=by, on=on)
    return group


@transaction.atomic
def rename_class(*, class_id: str, name: str, by: Viewer, on: date) -> ClassGroup:
    demand(by, "manage-roster")
    group = reach(hold_school(by).class_groups.all(), class_id)
    _refuse_same_class(ClassGroup.objects.filter(year=group.year_id).exclude(pk=group.pk), name)
    before = {"name": group.name}
    group.name = name
    group.save(update_fields=["name"])
    note_change(Change("rename-class", "class", group.public_id, before=before, after={"name": name}), by=by, on=on)
    return group


def _refuse_same_class(others: Iterable[ClassGroup], name: str) -> None:
    if any(other.name.casefold() == name.casefold() for other in others):
        raise Refused(_("This year already has a class called “%(name)s”.") % {"name": name}, "name")


@transaction.atomic
def remove_class(*, class_id: str, by: Viewer, on: date) -> None:
    demand(by, "manage-roster")
    group = reach(hold_school(by).class_groups.all(), class_id)
    if Enrolment.objects.filter(class_group=group).exists() or Check.objects.filter(class_group=group).exists():
        raise Refused(_("This class has pupils or checks, so it stays."))
    note_change(Change("remove-class", "class", group.public_id, before={"name": group.name}), by=by, on=on)
    group.delete()


@transaction.atomic
def add_pupil(*, details: PupilDetails, class_id: str, grade: int, starts: date, by: Viewer, on: date) -> Pupil:
    demand(by, *RIGHTS)
    school = hold_school(by)
    group = reach(school.class_groups.select_related("year"), class_id)
    _refuse_same_reference(school, details.school_ref)
    _refuse_outside_year(group, starts)
    pupil = Pupil.objects.create(
        school=school,
        sort_name=sort_name(details.given_name, details.family_name),
        joined_on=starts,
        **asdict(details),
    )
    _note_pupil("add-pupil", pupil, by=by, on=on)
    _enrol(pupil, group, grade=grade, starts=starts, by=by, on=on)
    return pupil


@transaction.atomic
def change_pupil(*, pupil_id: str, details: PupilDetails, by: Viewer, on: date) -> Pupil:
    demand(by, *RIGHTS)
    school = hold_school(by)
    pupil = reach(school.pupils.all(), pupil_id)
    changed = [name for name, value in asdict(details).items() if getattr(pupil, name) != value]
    if not changed:
        return pupil
    if "school_ref" in changed:
        _refuse_same_reference(school, details.school_ref, but=pupil)
    for name in changed:
        setattr(pupil, name, getattr(details, name))
    pupil.sort_name = sort_name(pupil.given_name, pupil.family_name)
    pupil.save(update_fields=[*changed, "sort_name"])
    if "no_timed_checks" in changed:
        _read_anew(pupil, on=on)
    _note_pupil("change-pupil", pupil, by=by, on=on, after={"changed": changed})
    return pupil


def _read_anew(pupil: Pupil, *, on: date) -> None:
    pairs = set(Standing.objects.filter(pupil=pupil).values_list("pupil", "skill"))
    refresh(school=pupil.school, pairs=pairs, on=on, at=timezone.now())


def _refuse_same_reference(school: School, school_ref: str, *, but: Pupil | None = None) -> None:
    others = school.pupils.filter(school_ref__iexact=school_ref)
    if but is not None:
        others = others.exclude(pk=but.pk)
    if others.exists():
        raise Refused(
            _("Another pupil already has the reference %(reference)s; each reference belongs to one pupil.")
            % {"reference": school_ref},
            "school_ref",
        )


def _refuse_outside_year(group: ClassGroup, starts: date) -> None:
    year = group.year
    if not year.starts <= starts <= year.ends:
        raise Refused(
            _("This day is outside the school year of %(class)s, which runs from %(first)s to %(last)s.")
            % {"class": group.name, "first": written(year.starts), "last": written(year.ends)},
            "starts",
        )


def _note_pupil(action: str, pupil: Pupil, *, by: Viewer, on: date, after: dict[str, object] | None = None) -> None:
    """Names and what is said about a child never stand in the record, only which of it was changed."""
    note_change(Change(action, "pupil", pupil.public_id, pupil.public_id, after=after), by=by, on=on)


def _enrol(pupil: Pupil, group: ClassGroup, *, grade: int, starts: date, by: Viewer, on: date) -> Enrolment:
    row = Enrolment.objects.create(school=pupil.school, pupil=pupil, class_group=group, grade=grade, starts=starts)
    _note_enrolment("enrol-pupil", row, by=by, on=on)
    return row


def _note_enrolment(
    action: str, row: Enrolment, *, by: Viewer, on: date, before: dict[str, object] | None = None
) -> None:
    change = Change(action, "enrolment", row.public_id, row.pupil.public_id, before=before, after=_place(row))
    note_change(change, by=by, on=on)


def _place(row: Enrolment) -> dict[str, object]:
    return {
        "class": row.class_group.public_id,
        "grade": row.grade,
        "starts": row.starts.isoformat(),
        "ends": row.ends.isoformat() if row.ends else None,
    }


@transaction.atomic
def move_pupil(*, pupil_id: str, class_id: str, grade: int, starts: date, by: Viewer, on: date) -> Enrolment:
    """From that day on in another class or grade; the enrolment before it ends the day before. Also brings back a
    pupil who had left."""
    demand(by, *RIGHTS)
    school = hold_school(by)
    pupil = reach(school.pupils.all(), pupil_id)
    group = reach(school.class_groups.select_related("year"), class_id)
    _refuse_outside_year(group, starts)
    _refuse_before_leaving(pupil, starts)
    last = _last_enrolment(pupil)
    if last is not None:
        _end_before(last, group, grade=grade, starts=starts, by=by, on=on)
    if pupil.left_on is not None:
        pupil.left_on = None
        pupil.save(update_fields=["left_on"])
        _note_pupil("pupil-back", pupil, by=by, on=on)
    return _enrol(pupil, group, grade=grade, starts=starts, by=by, on=on)


def _last_enrolment(pupil: Pupil) -> Enrolment | None:
    return pupil.enrolments.select_related("class_group", "pupil").order_by("-starts", "-id").first()


def _refuse_before_leaving(pupil: Pupil, starts: date) -> None:
    if pupil.left_on is not None and starts <= pupil.left_on:
        raise Refused(
            _("This pupil left on %(day)s; the new start must come after that.") % {"day": written(pupil.left_on)},
            "starts",
        )


def _end_before(last: Enrolment, group: ClassGroup, *, grade: int, starts: date, by: Viewer, on: date) -> None:
    if last.starts >= starts:
        raise Refused(
            _("The pupil is in %(class)s from %(day)s; a move must come after that day.")
            % {"class": last.class_group.name, "day": written(last.starts)},
            "starts",
        )
    if last.ends is not None and last.ends < starts:
        return
    if (last.class_group_id, last.grade) == (group.pk, grade):
        raise Refused(_("The pupil is already in this class and grade."), "class_id")
    before = _place(last)
    last.ends = starts - timedelta(days=1)
    last.save(update_fields=["ends"])
    _note_enrolment("end-enrolment", last, by=by, on=on, before=before)


@transaction.atomic
def correct_enrolment(*, enrolment_id: str, grade: int, starts: date, by: Viewer, on: date) -> Enrolment:
    """Mends a grade or first day that was typed wrongly."""
    demand(by, "manage-roster")
    school = hold_school(by)
    rows = Enrolment.objects.filter(school=school).select_related("class_group__year", "pupil")
    row = reach(rows, enrolment_id)
    _refuse_outside_year(row.class_group, starts)
    _refuse_wrong_start(row, starts)
    before = _place(row)
    row.grade, row.starts = grade, starts
    row.save(update_fields=["grade", "starts"])
    _correct_attempts(row, on=on)
    first = row.pupil.enrolments.order_by("starts").values_list("starts", flat=True)[0]
    Pupil.objects.filter(pk=row.pupil_id).update(joined_on=first)
    _note_enrolment("correct-enrolment", row, by=by, on=on, before=before)
    return row


def _correct_attempts(row: Enrolment, *, on: date) -> None:
    sat = Attempt.objects.filter(pupil=row.pupil_id, class_group=row.class_group_id, taken_on__gte=row.starts)
    if row.ends is not None:
        sat = sat.filter(taken_on__lte=row.ends)
    if sat.exclude(grade=row.grade).update(grade=row.grade):
        _read_anew(row.pupil, on=on)


def _refuse_wrong_start(row: Enrolment, starts: date) -> None:
    if row.ends is not None and starts > row.ends:
        sentence = _("This enrolment ends on %(day)s; it can't start later.") % {"day": written(row.ends)}
        raise Refused(sentence, "starts")
    earlier = row.pupil.enrolments.filter(starts__lt=row.starts).order_by("-starts").first()
    if earlier is not None and (earlier.ends is None or starts <= earlier.ends):
        raise Refused(_("On that day the pupil was still in the class before."), "starts")
    sat = Attempt.objects.filter(pupil=row.pupil, class_group=row.class_group, taken_on__gte=row.starts)
    first = sat.order_by("taken_on").values_list("taken_on", flat=True).first()
    if first is not None and starts > first:
        sentence = _("The pupil has a check in this class on %(day)s; it can't start later.") % {"day": written(first)}
        raise Refused(sentence, "starts")


@transaction.atomic
def pupil_left(*, pupil_id: str, left_on: date, by: Viewer, on: date) -> Pupil:
    """Ends what runs beyond the last day; records stay. Erasing is another action."""
    demand(by, *RIGHTS)
    pupil = reach(hold_school(by).pupils.all(), pupil_id)
    last = _last_enrolment(pupil)
    if left_on < (last.starts if last else pupil.joined_on):
        raise Refused(_("The pupil's last class begins after that day."), "left_on")
    if last is not None and (last.ends is None or last.ends > left_on or last.ends == pupil.left_on):
        before = _place(last)
        last.ends = left_on
        last.save(update_fields=["ends"])
        _note_enrolment("end-enrolment", last, by=by, on=on, before=before)
    pupil.left_on = left_on
    pupil.save(update_fields=["left_on"])
    _note_pupil("pupil-left", pupil, by=by, on=on, after={"left_on": left_on.isoformat()})
    return pupil
