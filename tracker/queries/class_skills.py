"""What a class is on, as plain numbers, for sentences about the whole class."""

from tracker.access.viewer import Viewer, current
from tracker.models import ClassGroup, Enrolment, Standing


def class_skills(viewer: Viewer, group: ClassGroup) -> tuple[int, set[str]]:
    """How many pupils are in the class today, and the skills that somebody of them is on: begun and not secure yet.
    `group` comes from a scoped query."""
    members = Enrolment.objects.filter(current(viewer.today), school=viewer.school, class_group=group).values("pupil")
    rows = Standing.objects.filter(school=viewer.school, pupil__in=members, is_current=True, checks__gt=0)
    keys = rows.exclude(stage__in=["secure", "kept"]).order_by().values_list("skill__key", flat=True).distinct()
    return members.distinct().count(), set(keys)
