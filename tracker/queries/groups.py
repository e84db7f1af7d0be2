"""The small groups and lists of an assistant or provider."""

from dataclasses import dataclass

from tracker.access import scopes
from tracker.access.viewer import Viewer, current
from tracker.models import GroupPlace, ProviderAssignment, Pupil


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
