"""Printed codes and passwords."""

from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext

from tracker.access.codes import code_digest, new_code, open_codes
from tracker.access.viewer import Viewer, current, memberships_of
from tracker.actions.errors import Refused
from tracker.actions.reach import demand, reach
from tracker.actions.record import Change, note_change
from tracker.actions.roles import members
from tracker.actions.sessions import end_other_sessions
from tracker.models import AccessCode, Membership, Role, User

# How long a printed code opens the door, by what it is for.
CODE_DAYS = {"family": 28, "staff": 7}


@transaction.atomic
def make_code(*, user_id: str, by: Viewer, on: date) -> str:
    """A new code for a person of this school, to print and hand over; it takes the place of the one before.

    The code is returned once and kept only as a digest.
    """
    demand(by, "manage-roster")
    user = reach(members(by.school), user_id)
    roles = set(Membership.objects.filter(current(on), user=user, school=by.school).values_list("role", flat=True))
    if not roles or not user.is_active:
        raise Refused(gettext("A code needs an open account with a role that holds today."))
    purpose = "family" if roles == {Role.PARENT} else "staff"
    at, code = timezone.now(), new_code()
    AccessCode.objects.filter(user=user, school=by.school, used_at__isnull=True).delete()
    AccessCode.objects.create(
        school=by.school,
        user=user,
        purpose=purpose,
        code_hash=code_digest(code),
        created_at=at,
        expires_at=at + timedelta(days=CODE_DAYS[purpose]),
        created_by=by.user,
    )
    note_change(Change("make-code", "user", user.public_id, after={"purpose": purpose}), by=by, on=on)
    return code


@transaction.atomic
def take_code(*, username: str, code: str, at: datetime) -> AccessCode | None:
    """Uses a code up. Of two browsers with the same code one wins: the update finds an unused row only once."""
    row = open_codes(username=username, code=code, at=at).first()
    if row is None:
        return None
    taken = AccessCode.objects.filter(pk=row.pk, used_at__isnull=True).update(used_at=at)
    return row if taken else None


@transaction.atomic
def set_password(
    *, user: User, password: str, keep: str | None, by: Viewer | None, on: date, only_school: str = ""
) -> None:
    """The form has checked the password. All other sessions of the person end.

    A session opened by a school's code (`only_school`) may not take over an account that other schools rely on.
    """
    schools = {membership.school.public_id for membership in memberships_of(user)}
    if only_school and schools != {only_school}:
        raise Refused(gettext("You belong to more than one school: sign in with your password to change it."))
    user.set_password(password)
    user.save(update_fields=["password"])
    end_other_sessions(by=user, keep=keep)
    note_change(Change("set-password", "user", user.public_id), by=by, on=on)
