"""Files that were loaded."""

from django.db.models import QuerySet

from tracker.access.permissions import may
from tracker.access.viewer import Viewer
from tracker.models import ImportBatch


def batches(viewer: Viewer) -> QuerySet[ImportBatch]:
    """The latest twenty, newest first."""
    rows = ImportBatch.objects.filter(school=viewer.school).select_related("loaded_by").order_by("-loaded_at")
    return rows[:20] if may(viewer, "load-data") else rows.none()
