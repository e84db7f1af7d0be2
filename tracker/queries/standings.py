"""Where pupils stand, for pages that show many of them."""

from collections.abc import Collection
from datetime import date

from django.db.models import QuerySet

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Check, MasteryEvent, Standing


def current(viewer: Viewer, pupils: Collection[int]) -> QuerySet[Standing]:
    """The rows that carry the stage, for pupils from a scoped query."""
    return (
        Standing.objects.filter(school=viewer.school, pupil__in=pupils, is_current=True)
        .select_related("skill")
        .order_by("pupil_id", "skill__position")
    )


def became(viewer: Viewer, pupils: Collection[int], since: date) -> QuerySet[MasteryEvent]:
    """What became secure or kept since a day, newest first."""
    return (
        scopes.mastery_events(viewer)
        .filter(pupil__in=pupils, on__gte=since)
        .select_related("pupil", "skill")
        .order_by("-on", "pupil__sort_name", "pk")
    )


def became_by(viewer: Viewer, check_sat: Check) -> QuerySet[MasteryEvent]:
    """What the rows of this check brought to secure or kept."""
    rows = scopes.mastery_events(viewer).filter(attempt__check_sat=check_sat)
    return rows.select_related("pupil", "skill").order_by("pupil__sort_name", "skill__position")


def still_within(viewer: Viewer, check_sat: Check) -> set[int]:
    """Of the pupils who sat a check those whose record is still the viewer's to open."""
    return set(scopes.pupils(viewer).filter(attempts__check_sat=check_sat).values_list("pk", flat=True))
