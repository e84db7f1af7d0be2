"""Small groups of assistants and providers, and the pupils on a provider's list."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer, current
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.reach import demand, hold_school, reach, written
from tracker.actions.record import Change, note_change
from tracker.actions.roles import members
from tracker.models import GroupPlace, Membership, ProviderAssignment, Pupil, PupilGroup, Role, School, User

RIGHT = "manage-roster"


@transaction.atomic
def add_group(
    *,
    name: str,
    holder_id: str,
    starts: date,
    by: Viewer,
    on: date,
    pupil_ids: Sequence[str] = (),
    ends: date | None = None,
) -> PupilGroup:
    """A group with its first pupils; its holder is an assistant or a provider on its first day."""
    demand(by, RIGHT)
    school = hold_school(by)
    holder = _with_role(school, holder_id, starts, roles=(Role.ASSISTANT, Role.PROVIDER))
    if not name.strip():
        raise Refused(_("Give the group a name."), "name")
    if ends is not None and ends < starts:
        raise Refused(_("The last day must not come before the first day."), "ends")
    pupils = _pupils(school, pupil_ids)
    group = PupilGroup.objects.create(school=school, name=name, holder=holder, starts=starts, ends=ends)
    GroupPlace.objects.bulk_create(
        GroupPlace(school=school, group=group, pupil=pupil, starts=starts) for pupil in pupils
    )
    after = {"holder": holder.public_id, "pupils": len(pupils), "starts": starts.isoformat(), "ends": _iso(ends)}
    note_change(Change("add-group", "group", group.public_id, after=after), by=by, on=on)
    return group


@transaction.atomic
def end_group(*, group_id: str, ends: date, by: Viewer, on: date) -> PupilGroup:
    """The pupils' places stay as they are: they open nothing outside the days of their group."""
    demand(by, RIGHT)
    group = reach(PupilGroup.objects.filter(school=hold_school(by)), group_id)
    before = _end(group, ends)
    note_change(Change("end-group", "group", group.public_id, before=before, after={"ends": _iso(ends)}), by=by, on=on)
    return group


@transaction.atomic
def put_in_group(*, group_id: str, pupil_id: str, starts: date, by: Viewer, on: date) -> GroupPlace:
    demand(by, RIGHT)
    school = hold_school(by)
    group = reach(PupilGroup.objects.filter(school=school), group_id)
    [pupil] = _pupils(school, [pupil_id])
    if starts < group.starts or (group.ends is not None and starts > group.ends):
        raise Refused(_("On this day there is no such group: %(days)s.") % {"days": _days(group)}, "starts")
    _refuse_left(pupil, starts)
    if GroupPlace.objects.filter(_not_over(starts), group=group, pupil=pupil).exists():
        raise Refused(_("The pupil is in this group already."), "pupil_id")
    place = GroupPlace.objects.create(school=school, group=group, pupil=pupil, starts=starts)
    after = {"starts": starts.isoformat()}
    note_change(Change("put-in-group", "group", group.public_id, pupil.public_id, after=after), by=by, on=on)
    return place


@transaction.atomic
def take_from_group(*, group_id: str, pupil_id: str, ends: date, by: Viewer, on: date) -> GroupPlace:
    """Ends the pupil's newest time in the group."""
    demand(by, RIGHT)
    school = hold_school(by)
    group = reach(PupilGroup.objects.filter(school=school), group_id)
    place = group.places.filter(pupil__public_id=pupil_id).select_related("pupil").order_by("-starts").first()
    if place is None:
        raise OutOfScope
    change = Change(
        "take-from-group",
        "group",
        group.public_id,
        place.pupil.public_id,
        before=_end(place, ends),
        after={"ends": _iso(ends)},
    )
    note_change(change, by=by, on=on)
    return place


@transaction.atomic
def assign_provider(*, user_id: str, pupil_id: str, starts: date, by: Viewer, on: date) -> ProviderAssignment:
    demand(by, RIGHT)
    school = hold_school(by)
    user = _with_role(school, user_id, starts, roles=(Role.PROVIDER,))
    [pupil] = _pupils(school, [pupil_id])
    _refuse_left(pupil, starts)
    if ProviderAssignment.objects.filter(_not_over(starts), user=user, pupil=pupil).exists():
        raise Refused(_("The pupil is on this person's list already."), "pupil_id")
    row = ProviderAssignment.objects.create(school=school, user=user, pupil=pupil, starts=starts)
    after = {"user": user.public_id, "starts": starts.isoformat()}
    note_change(Change("assign-provider", "assignment", row.public_id, pupil.public_id, after=after), by=by, on=on)
    return row


@transaction.atomic
def end_assignment(*, assignment_id: str, ends: date, by: Viewer, on: date) -> ProviderAssignment:
    demand(by, RIGHT)
    rows = ProviderAssignment.objects.filter(school=hold_school(by)).select_related("pupil")
    row = reach(rows, assignment_id)
    change = Change(
        "end-assignment",
        "assignment",
        row.public_id,
        row.pupil.public_id,
        before=_end(row, ends),
        after={"ends": _iso(ends)},
    )
    note_change(change, by=by, on=on)
    return row


def _with_role(school: School, user_id: str, starts: date, *, roles: Sequence[Role]) -> User:
    user = reach(members(school), user_id)
    held = Membership.objects.filter(school=school, user=user, role__in=roles)
    if not held.exists():
        raise Refused(_("Only an assistant or a provider of extra teaching can be chosen here."), "user_id")
    if not held.filter(current(starts)).exists():
        raise Refused(_("On this day the person does not have the role that this needs."), "starts")
    return user


def _pupils(school: School, pupil_ids: Sequence[str]) -> list[Pupil]:
    found = list(Pupil.objects.filter(school=school, public_id__in=pupil_ids))
    if {pupil.public_id for pupil in found} != set(pupil_ids):
        raise OutOfScope
    return found


def _refuse_left(pupil: Pupil, starts: date) -> None:
    if pupil.left_on is not None and pupil.left_on < starts:
        raise Refused(_("The pupil left the school on %(day)s.") % {"day": written(pupil.left_on)}, "starts")


def _not_over(starts: date) -> Q:
    return Q(ends__isnull=True) | Q(ends__gte=starts)


def _end(row: PupilGroup | GroupPlace | ProviderAssignment, ends: date) -> dict[str, str | None]:
    """Sets the last day, and gives what stood there before."""
    if ends < row.starts:
        raise Refused(_("It began on %(day)s and can't end before that.") % {"day": written(row.starts)}, "ends")
    before = {"ends": _iso(row.ends)}
    row.ends = ends
    row.save(update_fields=["ends"])
    return before


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _days(group: PupilGroup) -> str:
    if group.ends is None:
        return _("it begins on %(first)s") % {"first": written(group.starts)}
    return _("it lasts from %(first)s to %(last)s") % {"first": written(group.starts), "last": written(group.ends)}
