"""Small groups of assistants and providers, and the pupils on a provider's list."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer, current
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.reach import demand, hold_school, reach
from tracker.actions.record import Change, note_change
from tracker.actions.roles import members
from tracker.models import GroupPlace, Membership, ProviderAssignment, Pupil, PupilGroup, Role, School, User

RIGHT = "manage-roster"


@transaction.atomic
def add_group(*, name: str, holder_id: str, pupil_ids: Sequence[str], starts: date, by: Viewer, on: date) -> PupilGroup:
    """A group with its first pupils; its holder is an assistant or a provider on that day."""
    demand(by, RIGHT)
    school = hold_school(by)
    holder = _with_role(school, holder_id, (Role.ASSISTANT, Role.PROVIDER), starts)
    if not name.strip():
        raise Refused(_("Give the group a name."), "name")
    pupils = _pupils(school, pupil_ids)
    group = PupilGroup.objects.create(school=school, name=name, holder=holder, starts=starts)
    GroupPlace.objects.bulk_create(
        GroupPlace(school=school, group=group, pupil=pupil, starts=starts) for pupil in pupils
    )
    after = {"holder": holder.public_id, "pupils": len(pupils), "starts": starts.isoformat()}
    note_change(Change("add-group", "group", group.public_id, after=after), by=by, on=on)
    return group


@transaction.atomic
def assign_provider(*, user_id: str, pupil_id: str, starts: date, by: Viewer, on: date) -> ProviderAssignment:
    demand(by, RIGHT)
    school = hold_school(by)
    user = _with_role(school, user_id, (Role.PROVIDER,), starts)
    [pupil] = _pupils(school, [pupil_id])
    if ProviderAssignment.objects.filter(current(starts), user=user, pupil=pupil).exists():
        raise Refused(_("The pupil is on this person's list already."), "pupil_id")
    row = ProviderAssignment.objects.create(school=school, user=user, pupil=pupil, starts=starts)
    after = {"user": user.public_id, "starts": starts.isoformat()}
    note_change(Change("assign-provider", "assignment", row.public_id, pupil.public_id, after=after), by=by, on=on)
    return row


def _with_role(school: School, user_id: str, roles: Sequence[Role], on: date) -> User:
    user = reach(members(school), user_id)
    if not Membership.objects.filter(current(on), school=school, user=user, role__in=roles).exists():
        raise Refused(_("Only an assistant or a provider of extra teaching can be chosen here."), "user_id")
    return user


def _pupils(school: School, pupil_ids: Sequence[str]) -> list[Pupil]:
    found = list(Pupil.objects.filter(school=school, public_id__in=pupil_ids))
    if {pupil.public_id for pupil in found} != set(pupil_ids):
        raise OutOfScope
    return found
