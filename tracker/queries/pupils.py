"""One pupil and what is on record."""

from collections.abc import Iterable

from django.db.models import QuerySet
from django.http import Http404

from tracker.access import scopes
from tracker.access.permissions import may
from tracker.access.viewer import Viewer, current
from tracker.models import Attempt, Break, Enrolment, Mark, MasteryEvent, Phase, Pupil, SchoolYear, Standing


def pupil(viewer: Viewer, pupil_id: str) -> Pupil:
    found = scopes.pupils(viewer).filter(public_id=pupil_id).first()
    if found is None:
        raise Http404
    return found


def place(viewer: Viewer, one: Pupil) -> Enrolment | None:
    """The class and grade that hold today."""
    return (
        Enrolment.objects.filter(current(viewer.today), school=viewer.school, pupil=one)
        .select_related("class_group__year")
        .order_by("-starts")
        .first()
    )


def attempts(viewer: Viewer, one: Pupil) -> QuerySet[Attempt]:
    """All that was sat, oldest first. `one` comes from the scoped query above."""
    return (
        Attempt.objects.filter(school=viewer.school, pupil=one, status__in=["done", "stopped", "absent"])
        .select_related("sheet", "check_sat")
        .order_by("taken_on", "pk")
    )


def open_classes(viewer: Viewer, asked: Iterable[int | None]) -> dict[int, str]:
    """Of these classes, by primary key, those whose pages the viewer may open, with their public ids."""
    if not may(viewer, "read-classes"):
        return {}
    known = {key for key in asked if key is not None}
    return dict(scopes.classes(viewer).filter(pk__in=known).values_list("pk", "public_id"))


def current_standings(viewer: Viewer, one: Pupil) -> QuerySet[Standing]:
    return Standing.objects.filter(school=viewer.school, pupil=one, is_current=True).select_related("skill")


def mastery_events(viewer: Viewer, one: Pupil) -> QuerySet[MasteryEvent]:
    return MasteryEvent.objects.filter(school=viewer.school, pupil=one).select_related("skill")


def phases(viewer: Viewer, one: Pupil) -> QuerySet[Phase]:
    return Phase.objects.filter(school=viewer.school, pupil=one).select_related("skill")


def marks(viewer: Viewer, one: Pupil) -> QuerySet[Mark]:
    """Marks that may hold for this pupil: their own and the school's."""
    rows = Mark.objects.filter(school=viewer.school).select_related("skill")
    return rows.filter(pupil__isnull=True) | rows.filter(pupil=one)


def breaks(viewer: Viewer) -> QuerySet[Break]:
    return Break.objects.filter(school=viewer.school)


def years(viewer: Viewer) -> QuerySet[SchoolYear]:
    return SchoolYear.objects.filter(school=viewer.school)
