"""What people may read about their own account."""

from dataclasses import dataclass
from datetime import datetime

from allauth.mfa.models import Authenticator

from tracker.access.viewer import memberships_of
from tracker.models import User, UserSession


@dataclass(frozen=True)
class OwnSession:
    public_id: str
    device: str
    signed_in_at: datetime
    seen_at: datetime
    is_this: bool


def own_sessions(viewer: User, *, this_key: str | None) -> list[OwnSession]:
    """The person's signed-in browsers, this one first. A person without a role has an account too."""
    rows = UserSession.objects.filter(user=viewer).order_by("-seen_at")
    sessions = [
        OwnSession(row.public_id, row.device, row.signed_in_at, row.seen_at, row.session_key == this_key)
        for row in rows
    ]
    return sorted(sessions, key=lambda session: not session.is_this)


def factors(viewer: User) -> frozenset[tuple[int, str]]:
    return frozenset(Authenticator.objects.filter(user=viewer).values_list("pk", "type"))


def has_second_factor(viewer: User) -> bool:
    return Authenticator.objects.filter(user=viewer, type=Authenticator.Type.TOTP).exists()


def school_names(viewer: User) -> list[str]:
    """The schools where this person has or had a role: whom to ask when none holds today."""
    return sorted({membership.school.name for membership in memberships_of(viewer)})
