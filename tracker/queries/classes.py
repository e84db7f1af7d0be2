"""Classes and who is in them."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q, QuerySet
from django.http import Http404

from tracker.access import scopes
from tracker.access.viewer import Viewer, current
from tracker.models import Check, ClassGroup, Enrolment, Flag


@dataclass(frozen=True)
class ClassLine:
    """A class in a list, with what waits there."""

    group: ClassGroup
    pupils: int
    open_checks: int
    open_flags: int


def class_group(viewer: Viewer, class_id: str) -> ClassGroup:
    found = scopes.classes(viewer).filter(public_id=class_id).select_related("year", "school").first()
    if found is None:
        raise Http404
    return found


def class_to_plan(viewer: Viewer, class_id: str) -> ClassGroup:
    """A class that the viewer teaches today, whatever else the viewer may read."""
    found = _taught(viewer).filter(public_id=class_id).select_related("year", "school").first()
    if found is None:
        raise Http404
    return found


def is_taught(viewer: Viewer, class_id: str) -> bool:
    """Whether the viewer teaches this class today."""
    return _taught(viewer).filter(public_id=class_id).exists()


def _taught(viewer: Viewer) -> QuerySet[ClassGroup]:
    # A class that may be read and typed into: cover reads nothing, a coordinator types into own classes only.
    return scopes.classes(viewer).filter(pk__in=scopes.classes_to_enter(viewer))


def taught_classes(viewer: Viewer) -> QuerySet[ClassGroup]:
    """The viewer's own classes of the school year that holds today."""
    return current_classes(viewer).filter(pk__in=scopes.classes_to_enter(viewer))


def current_classes(viewer: Viewer) -> QuerySet[ClassGroup]:
    """The classes of the school year that holds today."""
    today = viewer.today
    return (
        scopes.classes(viewer)
        .filter(year__starts__lte=today, year__ends__gte=today)
        .select_related("year")
        .order_by("name")
    )


def class_lines(viewer: Viewer) -> list[ClassLine]:
    """Current classes with their counts, in four statements whatever their number."""
    groups = list(current_classes(viewer))
    pupils = dict(
        Enrolment.objects.filter(current(viewer.today), class_group__in=groups)
        .values_list("class_group")
        .annotate(Count("pupil", distinct=True))
    )
    checks = dict(
        Check.objects.filter(class_group__in=groups, state=Check.State.OPEN)
        .values_list("class_group")
        .annotate(Count("pk"))
    )
    holds = Q(pupil__enrolments__starts__lte=viewer.today) & (
        Q(pupil__enrolments__ends__isnull=True) | Q(pupil__enrolments__ends__gte=viewer.today)
    )
    flags = dict(
        Flag.objects.filter(holds, school=viewer.school, state=Flag.State.OPEN)
        .values_list("pupil__enrolments__class_group")
        .annotate(Count("pk", distinct=True))
    )
    return [ClassLine(one, pupils.get(one.pk, 0), checks.get(one.pk, 0), flags.get(one.pk, 0)) for one in groups]


def class_places(viewer: Viewer, group: ClassGroup, on: date | None = None) -> QuerySet[Enrolment]:
    """Who is in the class on a day, with grade, in the order of names. `group` comes from a scoped query."""
    return (
        Enrolment.objects.filter(current(on or viewer.today), school=viewer.school, class_group=group)
        .select_related("pupil")
        .order_by("pupil__sort_name", "pupil__school_ref")
    )


def places_of_classes(viewer: Viewer, groups: Collection[ClassGroup]) -> QuerySet[Enrolment]:
    """Who is in these classes today. `groups` come from a scoped query."""
    rows = Enrolment.objects.filter(current(viewer.today), school=viewer.school, class_group__in=groups)
    return rows.select_related("pupil")
