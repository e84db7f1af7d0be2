"""Everybody with an account at the school."""

from allauth.mfa.models import Authenticator
from django.db.models import Prefetch, Q, QuerySet
from django.http import Http404

from tracker.access.permissions import may
from tracker.access.viewer import STAFF, Viewer
from tracker.models import Guardian, Membership, Role, Teaching, User

KINDS = {"staff": tuple(STAFF), "families": (Role.PARENT,)}


def people(viewer: Viewer, *, kind: str = "") -> QuerySet[User]:
    """With the roles that hold now or later; `kind` is staff, families or empty for everybody."""
    held = Membership.objects.filter(school=viewer.school)
    if kind:
        held = held.filter(role__in=KINDS[kind])
    if not may(viewer, "read-roster"):
        held = held.none()
    lasting = Membership.objects.filter(_lasting(viewer), school=viewer.school).order_by("starts", "id")
    rows = User.objects.filter(pk__in=held.values("user"))
    return rows.prefetch_related(Prefetch("memberships", lasting, to_attr="roles_now")).order_by("name", "id")


def _lasting(viewer: Viewer) -> Q:
    return Q(ends__isnull=True) | Q(ends__gte=viewer.today)


def person(viewer: Viewer, user_id: str) -> User:
    row = people(viewer).filter(public_id=user_id).first()
    if row is None:
        raise Http404
    return row


def roles(viewer: Viewer, user: User) -> list[Membership]:
    """All that the person is or was at this school, newest first."""
    return list(Membership.objects.filter(school=viewer.school, user=user).order_by("-starts", "-id"))


def classes_of(viewer: Viewer, user: User) -> list[Teaching]:
    rows = Teaching.objects.filter(school=viewer.school, user=user).select_related("class_group__year")
    return list(rows.order_by("-starts", "-id"))


def children_of(viewer: Viewer, user: User) -> list[Guardian]:
    rows = Guardian.objects.filter(school=viewer.school, user=user).select_related("pupil")
    return list(rows.order_by("pupil__sort_name", "starts"))


def has_factor(viewer: Viewer, user: User) -> bool:
    """Whether there is a second factor to reset; nobody but the office needs to know."""
    return may(viewer, "manage-roster") and Authenticator.objects.filter(user=user).exists()


def choices(viewer: Viewer, *roles: str) -> list[tuple[str, str]]:
    """Open accounts with one of the roles, now or later, for a form."""
    return _choices(Membership.objects.filter(_lasting(viewer), school=viewer.school, role__in=roles))


def staff_choices(viewer: Viewer) -> list[tuple[str, str]]:
    """Everybody who is or was staff: somebody who covered once may cover again."""
    return _choices(Membership.objects.filter(school=viewer.school, role__in=STAFF))


def _choices(held: QuerySet[Membership]) -> list[tuple[str, str]]:
    """The sign-in name tells namesakes apart."""
    rows = User.objects.filter(pk__in=held.values("user"), is_active=True).order_by("name", "username")
    return [(row.public_id, f"{row.name} ({row.username})") for row in rows]
