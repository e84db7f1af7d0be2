"""The small groups and lists of an assistant or provider."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q

from tracker.access import scopes
from tracker.access.viewer import Viewer, current
from tracker.models import GroupPlace, ProviderAssignment, Pupil, PupilGroup, User


@dataclass(frozen=True)
class GroupLine:
    """A small group with its pupils; without a name, the pupils on a provider's own list."""

    name: str
    pupils: tuple[Pupil, ...]


def own_groups(viewer: Viewer) -> list[GroupLine]:
    """Three statements whatever the number of groups."""
    places = GroupPlace.objects.filter(current(viewer.today), pupil__in=scopes.pupils(viewer)).select_related("pupil")
    pupils: dict[int, list[Pupil]] = {}
    for place in places.order_by("pupil__sort_name", "pupil__school_ref"):
        pupils.setdefault(place.group_id, []).append(place.pupil)
    lines = [GroupLine(group.name, tuple(pupils.get(group.pk, ()))) for group in scopes.own_groups(viewer)]
    listed = _own_list(viewer)
    return [*lines, GroupLine("", listed)] if listed else lines


def _own_list(viewer: Viewer) -> tuple[Pupil, ...]:
    assigned = ProviderAssignment.objects.filter(current(viewer.today), school=viewer.school, user=viewer.user)
    return tuple(scopes.pupils(viewer).filter(pk__in=assigned.values("pupil")))


@dataclass(frozen=True)
class SmallGroup:
    """A group as the office keeps it, with everybody who is or will be in it."""

    public_id: str
    name: str
    starts: date
    ends: date | None
    places: tuple[GroupPlace, ...]


def groups_of(viewer: Viewer, user: User) -> list[SmallGroup]:
    """All groups that the person holds, held or will hold, newest first; for those who read the roster."""
    places = GroupPlace.objects.filter(_not_over(viewer), pupil__in=scopes.people(viewer)).select_related("pupil")
    places = places.order_by("pupil__sort_name", "pupil__school_ref", "starts")
    rows = PupilGroup.objects.filter(school=viewer.school, holder=user).order_by("-starts", "-id")
    return [
        SmallGroup(row.public_id, row.name, row.starts, row.ends, tuple(row.places_now))
        for row in rows.prefetch_related(Prefetch("places", places, to_attr="places_now"))
    ]


def list_of(viewer: Viewer, user: User) -> list[ProviderAssignment]:
    """Every pupil who is, was or will be on the person's list; for those who read the roster."""
    rows = ProviderAssignment.objects.filter(school=viewer.school, user=user, pupil__in=scopes.people(viewer))
    return list(rows.select_related("pupil").order_by("pupil__sort_name", "pupil__school_ref", "starts"))


def over(row: SmallGroup | ProviderAssignment, viewer: Viewer) -> bool:
    return row.ends is not None and row.ends < viewer.today


def _not_over(viewer: Viewer) -> Q:
    return Q(ends__isnull=True) | Q(ends__gte=viewer.today)
