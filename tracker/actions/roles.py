"""Who is what at the school, and who takes which class, from when to when."""

from datetime import date, timedelta

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer, current
from tracker.actions.errors import Refused
from tracker.actions.reach import demand, hold_school, reach, written
from tracker.actions.record import Change, note_change
from tracker.models import ClassGroup, Membership, Role, School, Teaching, User

RIGHT = "manage-roster"


def members(school: School) -> QuerySet[User]:
    """Everyone who has or had a role at the school."""
    return User.objects.filter(pk__in=Membership.objects.filter(school=school).values("user"))


@transaction.atomic
def give_role(*, user_id: str, role: str, starts: date, by: Viewer, on: date, ends: date | None = None) -> Membership:
    demand(by, RIGHT)
    user = reach(members(hold_school(by)), user_id)
    if role == Role.COVER:
        raise Refused(_("Cover is given for one day on the page of the class."), "role")
    return hold_role(user, role, starts, ends=ends, by=by, on=on)


def hold_role(user: User, role: str, starts: date, *, by: Viewer, on: date, ends: date | None = None) -> Membership:
    if role == Role.COVER:
        ends = starts
    if ends is not None and ends < starts:
        raise Refused(_("The last day must not come before the first day."), "ends")
    for held in Membership.objects.filter(user=user, school=by.school, role=role):
        if (held.ends is None or held.ends >= starts) and (ends is None or ends >= held.starts):
            raise Refused(_("The person already has this role from %(day)s.") % {"day": written(held.starts)}, "role")
    row = Membership.objects.create(school=by.school, user=user, role=role, starts=starts, ends=ends)
    after = {"role": role, "starts": starts.isoformat(), "ends": ends.isoformat() if ends else None}
    note_change(Change("give-role", "role", row.public_id, after={"user": user.public_id, **after}), by=by, on=on)
    return row


@transaction.atomic
def end_role(*, membership_id: str, ends: date, by: Viewer, on: date) -> Membership:
    """A teacher's classes end with the role."""
    demand(by, RIGHT)
    school = hold_school(by)
    row = reach(Membership.objects.filter(school=school), membership_id)
    _refuse_early_end(row.starts, ends)
    if row.role == Role.OFFICE and not _other_office(school, row, ends):
        raise Refused(_("This is the school's only office user; give the role to somebody else first."), "ends")
    before = {"ends": row.ends.isoformat() if row.ends else None}
    row.ends = ends
    row.save(update_fields=["ends"])
    note_change(
        Change("end-role", "role", row.public_id, before=before, after={"ends": ends.isoformat()}), by=by, on=on
    )
    if row.role == Role.TEACHER:
        _end_teachings(row, by=by, on=on)
    return row


def _refuse_early_end(starts: date, ends: date) -> None:
    if ends < starts:
        raise Refused(_("It began on %(day)s and can't end before that.") % {"day": written(starts)}, "ends")


def _other_office(school: School, row: Membership, ends: date) -> bool:
    offices = Membership.objects.filter(school=school, role=Role.OFFICE, user__is_active=True, ends=None)
    return offices.filter(starts__lte=ends + timedelta(days=1)).exclude(user=row.user_id).exists()


def _end_teachings(row: Membership, *, by: Viewer, on: date) -> None:
    rows = Teaching.objects.filter(school=row.school_id, user=row.user_id, cover=False, starts__lte=row.ends)
    for teaching in rows.exclude(ends__lte=row.ends):
        _end_teaching(teaching, row.ends, by=by, on=on)


@transaction.atomic
def give_class(
    *, user_id: str, class_id: str, starts: date, by: Viewer, on: date, ends: date | None = None
) -> Teaching:
    demand(by, RIGHT, "load-data")
    school = hold_school(by)
    group = reach(school.class_groups.select_related("year"), class_id)
    user = reach(members(school), user_id)
    _refuse_outside_year(group, starts, ends)
    roles = Membership.objects.filter(current(starts), school=school, user=user, role=Role.TEACHER)
    if not roles.exists():
        raise Refused(_("On that day the person has no role as a teacher; give it on the person's page."), "user_id")
    for held in Teaching.objects.filter(user=user, class_group=group, cover=False):
        if (held.ends is None or held.ends >= starts) and (ends is None or ends >= held.starts):
            sentence = _("The person already takes this class from %(day)s.") % {"day": written(held.starts)}
            raise Refused(sentence, "user_id")
    return _add_teaching(user, group, starts, ends=ends, by=by, on=on)


def _add_teaching(
    user: User, group: ClassGroup, starts: date, *, ends: date | None, by: Viewer, on: date, cover: bool = False
) -> Teaching:
    row = Teaching.objects.create(school=by.school, user=user, class_group=group, cover=cover, starts=starts, ends=ends)
    after = {"user": user.public_id, "class": group.public_id, "cover": cover, "starts": starts.isoformat()}
    note_change(Change("give-class", "teaching", row.public_id, after=after), by=by, on=on)
    return row


def _refuse_outside_year(group: ClassGroup, starts: date, ends: date | None) -> None:
    year = group.year
    sentence = _("This day is outside the school year, which runs from %(first)s to %(last)s.") % {
        "first": written(year.starts),
        "last": written(year.ends),
    }
    if not year.starts <= starts <= year.ends:
        raise Refused(sentence, "starts")
    if ends is not None and ends > year.ends:
        raise Refused(sentence, "ends")
    if ends is not None and ends < starts:
        raise Refused(_("The last day must not come before the first day."), "ends")


@transaction.atomic
def end_class(*, teaching_id: str, ends: date, by: Viewer, on: date) -> Teaching:
    demand(by, RIGHT)
    row = reach(Teaching.objects.filter(school=hold_school(by)), teaching_id)
    if row.cover:
        raise Refused(_("Cover ends by itself after its day."), "ends")
    _refuse_early_end(row.starts, ends)
    return _end_teaching(row, ends, by=by, on=on)


def _end_teaching(row: Teaching, ends: date | None, *, by: Viewer, on: date) -> Teaching:
    before = {"ends": row.ends.isoformat() if row.ends else None}
    row.ends = ends
    row.save(update_fields=["ends"])
    after = {"ends": ends.isoformat() if ends else None}
    note_change(Change("end-class", "teaching", row.public_id, before=before, after=after), by=by, on=on)
    return row


@transaction.atomic
def give_cover(*, user_id: str, class_id: str, day: date, by: Viewer, on: date) -> Teaching:
    """Lets a person type one day's scores of a class; the role for that day comes with it."""
    demand(by, RIGHT)
    school = hold_school(by)
    group = reach(school.class_groups.select_related("year"), class_id)
    user = reach(members(school), user_id)
    if day < on:
        raise Refused(_("Cover can't be given for a day that is over."), "day")
    if not group.year.starts <= day <= group.year.ends:
        raise Refused(_("This day is outside the school year."), "day")
    if Teaching.objects.filter(current(day), user=user, class_group=group).exists():
        raise Refused(_("The person has this class on that day already."), "user_id")
    if not Membership.objects.filter(school=school, user=user, role=Role.COVER, starts=day).exists():
        hold_role(user, Role.COVER, day, by=by, on=on)
    return _add_teaching(user, group, day, ends=day, cover=True, by=by, on=on)
