"""Checks and their rows."""

from collections.abc import Collection
from datetime import date, timedelta

from django.db.models import Count, Q, QuerySet
from django.http import Http404

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Attempt, Check, ClassGroup, Conflict

# Older checks no longer say how a child takes them now.
RECENT_DAYS = 60


def check(viewer: Viewer, class_id: str, check_id: str) -> Check:
    """A check whose results the viewer may read."""
    return _one(scopes.checks(viewer), class_id, check_id)


def check_to_enter(viewer: Viewer, class_id: str, check_id: str) -> Check:
    """A check the viewer may type into, today."""
    return _one(scopes.checks_to_enter(viewer), class_id, check_id)


def _one(rows: QuerySet[Check], class_id: str, check_id: str) -> Check:
    found = (
        rows.filter(public_id=check_id, class_group__public_id=class_id).select_related("class_group", "year").first()
    )
    if found is None:
        raise Http404
    return found


def rows(viewer: Viewer, check_sat: Check) -> QuerySet[Attempt]:
    """A check's rows in the order of names. `check_sat` comes from one of the scoped queries above."""
    return (
        Attempt.objects.filter(school=viewer.school, check_sat=check_sat)
        .select_related("pupil", "skill", "sheet")
        .order_by("pupil__sort_name", "pupil__school_ref", "skill__position")
    )


def open_conflicts(viewer: Viewer, check_sat: Check) -> QuerySet[Conflict]:
    return (
        scopes.conflicts(viewer)
        .filter(attempt__check_sat=check_sat, settled_at__isnull=True)
        .select_related("attempt__pupil", "kept_by", "lost_by")
    )


def class_checks(viewer: Viewer, group: ClassGroup) -> QuerySet[Check]:
    """A class's checks, newest first, with what is left in each. `group` comes from a scoped query."""
    return (
        Check.objects.filter(school=viewer.school, class_group=group)
        .annotate(left=Count("attempts", filter=Q(attempts__status="due")), size=Count("attempts"))
        .order_by("-on", "-pk")
    )


def open_on(viewer: Viewer, group: ClassGroup, on: date) -> Check | None:
    """The class's open check of one day. `group` comes from a scoped query."""
    rows = Check.objects.filter(school=viewer.school, class_group=group, on=on, state=Check.State.OPEN)
    return rows.order_by("pk").first()


def planned_pairs(viewer: Viewer, check_sat: Check) -> set[tuple[str, str]]:
    """Who sits what in a check: public ids of pupils and keys of skills."""
    rows = Attempt.objects.filter(school=viewer.school, check_sat=check_sat)
    return set(rows.values_list("pupil__public_id", "skill__key"))


def recent_rows(viewer: Viewer, pupils: Collection[int]) -> QuerySet[Attempt]:
    """What these pupils sat lately, oldest first. `pupils` come from a scoped query."""
    since = viewer.today - timedelta(days=RECENT_DAYS)
    sat = Attempt.objects.filter(school=viewer.school, pupil__in=pupils, taken_on__gte=since)
    return sat.exclude(status=Attempt.Status.DUE).order_by("taken_on", "pk")


def open_of_classes(viewer: Viewer, groups: Collection[ClassGroup]) -> QuerySet[Check]:
    """Open checks of these classes, oldest first, with what is left. `groups` come from a scoped query."""
    rows = Check.objects.filter(school=viewer.school, class_group__in=groups, state=Check.State.OPEN)
    return rows.annotate(left=Count("attempts", filter=Q(attempts__status="due")), size=Count("attempts")).order_by(
        "on", "pk"
    )


def open_checks(viewer: Viewer) -> QuerySet[Check]:
    """Open checks of classes that the viewer may type into today, oldest first, with what is left."""
    return (
        scopes.checks_to_enter(viewer)
        .filter(state=Check.State.OPEN, class_group__isnull=False)
        .select_related("class_group")
        .annotate(left=Count("attempts", filter=Q(attempts__status="due")), size=Count("attempts"))
        .order_by("on", "class_group__name")
    )
