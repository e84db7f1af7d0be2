"""Signed-in browsers: listed while they last, and ended for good."""

from collections.abc import Iterable
from datetime import datetime

from django.contrib.sessions.models import Session
from django.db import transaction

from tracker.actions.errors import OutOfScope
from tracker.models import User, UserSession


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
