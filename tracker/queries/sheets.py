"""Sheets and their items."""

from collections.abc import Collection

from django.db.models import Count, QuerySet
from django.http import Http404

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Sheet, SheetItem


def sheet(viewer: Viewer, sheet_id: str) -> Sheet:
    found = scopes.sheets(viewer).filter(public_id=sheet_id).select_related("skill").first()
    if found is None:
        raise Http404
    return found


def sheets(viewer: Viewer) -> QuerySet[Sheet]:
    """Sheets in use, in ladder order, with how often each was sat."""
    return (
        scopes.sheets(viewer)
        .filter(retired_on__isnull=True)
        .select_related("skill")
        .annotate(times=Count("attempts"))
        .order_by("skill__position", "form")
    )


def items(viewer: Viewer, sheet_keys: Collection[int]) -> QuerySet[SheetItem]:
    """The items of sheets from a scoped query, in printed order."""
    rows = SheetItem.objects.filter(school=viewer.school, sheet__in=sheet_keys)
    return rows.order_by("sheet", "number")
