"""Flags that stand."""

from collections.abc import Collection

from django.db.models import QuerySet
from django.http import Http404

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Check, Flag


def flag(viewer: Viewer, pupil_id: str, flag_id: str) -> Flag:
    found = scopes.flags(viewer).filter(public_id=flag_id, pupil__public_id=pupil_id).first()
    if found is None:
        raise Http404
    return found


def standing_flags(viewer: Viewer, pupils: Collection[int]) -> QuerySet[Flag]:
    """Open and seen flags of these pupils, newest first. `pupils` come from a scoped query."""
    return (
        Flag.objects.filter(
            school=viewer.school, pupil__in=pupils, state__in=[Flag.State.OPEN, Flag.State.ACKNOWLEDGED]
        )
        .select_related("pupil", "skill__twin")
        .order_by("-raised_on", "pupil__sort_name", "pk")
    )


def raised_by(viewer: Viewer, check_sat: Check) -> QuerySet[Flag]:
    """Flags that the closing of this check raised and that still stand."""
    return (
        scopes.flags(viewer)
        .filter(check_sat=check_sat)
        .exclude(state=Flag.State.WITHDRAWN)
        .select_related("pupil", "skill__twin")
        .order_by("pupil__sort_name")
    )
