"""Where pupils stand, for pages that show many of them."""

from collections.abc import Collection
from datetime import date

from django.db.models import Max, QuerySet

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Attempt, ClassGroup, MasteryEvent, Standing


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


def last_sat(viewer: Viewer, pupils: Collection[int]) -> dict[int, date]:
    """The day of each pupil's latest attempt that counts."""
    rows = Attempt.objects.filter(school=viewer.school, pupil__in=pupils, status__in=["done", "stopped"])
    return dict(rows.values_list("pupil").annotate(Max("taken_on")))


def forms_used(viewer: Viewer, group: ClassGroup) -> dict[tuple[int, str], int]:
    """The highest form that each pupil of the class has met, by pupil and skill key."""
    rows = Attempt.objects.filter(school=viewer.school, class_group=group, sheet__isnull=False)
    found = rows.values_list("pupil", "skill__key").annotate(Max("sheet__form"))
    return {(pupil, key): form for pupil, key, form in found}
