"""Who is looking: a person at one school on one day, with the roles that hold then."""

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from tracker.models import Membership, Role, School, User

STAFF = frozenset(
    {Role.TEACHER, Role.COVER, Role.ASSISTANT, Role.PROVIDER, Role.COORDINATOR, Role.DEPUTY, Role.OFFICE, Role.HEAD}
)


@dataclass(frozen=True)
class Viewer:
    """Every read starts from one of these, so that school and roles can never be left out."""

    user: User
    school: School
    roles: frozenset[str]
    today: date
    # The schools where this person has a role today, this one among them.
    schools: tuple[School, ...] = ()

    @cached_property
    def is_staff(self) -> bool:
        return bool(self.roles & STAFF)

    def has(self, *roles: str) -> bool:
        return bool(self.roles.intersection(roles))


def today_at(school: School, *, now: datetime) -> date:
    return now.astimezone(ZoneInfo(school.timezone)).date()


def current(on: date, *, prefix: str = "") -> Q:
    """Rows with dates that hold on a day; `prefix` names the relation the dates stand on."""
    return Q(**{f"{prefix}starts__lte": on}) & (Q(**{f"{prefix}ends__isnull": True}) | Q(**{f"{prefix}ends__gte": on}))


def memberships_of(user: User) -> QuerySet[Membership]:
    return Membership.objects.filter(user=user).select_related("school").order_by("school_id", "id")


def viewer_for(user: User, *, now: datetime, school_id: str = "", only_school: str = "") -> Viewer | None:
    """The viewer at the chosen school, else at the first where a role holds today; None without one.

    `only_school` is the school whose printed code opened this session: such a session opens no other school.
    """
    held = {
        school: roles for school, roles in _roles_today(user, now=now).items() if only_school in ("", school.public_id)
    }
    if not held:
        return None
    school = next((school for school in held if school.public_id == school_id), next(iter(held)))
    return Viewer(
        user=user,
        school=school,
        roles=frozenset(held[school]),
        today=today_at(school, now=now),
        schools=tuple(held),
    )


def _roles_today(user: User, *, now: datetime) -> dict[School, set[str]]:
    held: dict[School, set[str]] = {}
    for membership in memberships_of(user):
        on = today_at(membership.school, now=now)
        if membership.starts <= on and (membership.ends is None or membership.ends >= on):
            held.setdefault(membership.school, set()).add(membership.role)
    return held
