"""Sign-in: sessions, printed codes and passwords."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.contrib.sessions.models import Session
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext

from tracker.access.codes import code_digest, new_code, open_codes
from tracker.access.viewer import Viewer, current, memberships_of
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.reach import demand, reach
from tracker.actions.record import Change, note_change
from tracker.actions.roles import members
from tracker.models import AccessCode, Membership, Role, User, UserSession

# How long a printed code opens the door, by what it is for.
CODE_DAYS = {"family": 28, "staff": 7}


@transaction.atomic
def begin_session(*, user: User, key: str, device: str, at: datetime) -> None:
    UserSession.objects.update_or_create(
        session_key=key, defaults={"user": user, "device": device[:120], "signed_in_at": at, "seen_at": at}
    )


@transaction.atomic
def touch_session(*, key: str, at: datetime) -> None:
    UserSession.objects.filter(session_key=key).update(seen_at=at)


@transaction.atomic
def rename_session(*, key: str, new_key: str) -> None:
    """A session gets a new key whenever what it may do changes."""
    UserSession.objects.filter(session_key=key).update(session_key=new_key)


@transaction.atomic
def forget_session(*, key: str) -> None:
    _end(UserSession.objects.filter(session_key=key).values_list("session_key", flat=True), also=[key])


@transaction.atomic
def end_session(*, session_id: str, by: User) -> None:
    """Ends one of the person's own sessions, at once."""
    own = UserSession.objects.filter(user=by, public_id=session_id)
    if not _end(own.values_list("session_key", flat=True)):
        raise OutOfScope


@transaction.atomic
def end_other_sessions(*, by: User, keep: str | None) -> int:
    """Ends all sessions of a person but one: after a change of password or second factor, or when asked to."""
    return _end(
        UserSession.objects.filter(user=by).exclude(session_key=keep or "").values_list("session_key", flat=True)
    )


def _end(keys: Iterable[str], *, also: Iterable[str] = ()) -> int:
    gone = {*keys, *also}
    Session.objects.filter(session_key__in=gone).delete()
    UserSession.objects.filter(session_key__in=gone).delete()
    return len(gone)


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
    AccessCode.objects.filter(user=user, school=by.school, used_at__isnull=True, expires_at__gt=at).update(
        expires_at=at
    )
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
