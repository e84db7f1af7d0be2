"""The rows a viewer may see. Every scope starts with the school; nothing else decides who sees a child."""

from django.db.models import Q, QuerySet

from tracker.access.viewer import STAFF, Viewer, current
from tracker.models import (
    Attempt,
    Check,
    ClassGroup,
    Conflict,
    Enrolment,
    Flag,
    GroupPlace,
    Guardian,
    MasteryEvent,
    ProviderAssignment,
    Pupil,
    PupilGroup,
    Role,
    Sheet,
    Standing,
    Teaching,
)

# Roles that see the whole school's pupils. The office sees people and classes, never scores.
WHOLE_SCHOOL = (Role.COORDINATOR, Role.DEPUTY, Role.HEAD)


def classes(viewer: Viewer) -> QuerySet[ClassGroup]:
    """Classes whose records the viewer may open: all for the whole-school roles, taught today for a teacher."""
    rows = ClassGroup.objects.filter(school=viewer.school)
    if viewer.has(*WHOLE_SCHOOL):
        return rows
    return rows.filter(pk__in=_taught(viewer, cover=False)) if viewer.has(Role.TEACHER) else rows.none()


def classes_to_enter(viewer: Viewer) -> QuerySet[ClassGroup]:
    """Classes whose scores the viewer may type today, as their teacher or as cover for the day."""
    may = Q(pk__in=[])
    if viewer.has(Role.TEACHER):
        may |= Q(pk__in=_taught(viewer, cover=False))
    if viewer.has(Role.COVER):
        may |= Q(pk__in=_taught(viewer, cover=True))
    return ClassGroup.objects.filter(may, school=viewer.school)


def _taught(viewer: Viewer, *, cover: bool) -> QuerySet[Teaching, int]:
    rows = Teaching.objects.filter(current(viewer.today), school=viewer.school, user=viewer.user, cover=cover)
    return rows.values_list("class_group", flat=True)


def pupils(viewer: Viewer) -> QuerySet[Pupil]:
    """Pupils whose record the viewer may open. A move of class, a left pupil or an ended assignment takes effect
    with its date."""
    rows = Pupil.objects.filter(school=viewer.school)
    return rows if viewer.has(*WHOLE_SCHOOL) else rows.filter(_own_pupils(viewer))


def _own_pupils(viewer: Viewer) -> Q:
    """Pupils of the viewer's own classes, groups and lists, while they are at the school."""
    may = Q(pk__in=[])
    if viewer.has(Role.TEACHER):
        taught = Enrolment.objects.filter(current(viewer.today), class_group__in=_taught(viewer, cover=False))
        may |= Q(pk__in=taught.values("pupil"))
    if viewer.has(Role.ASSISTANT, Role.PROVIDER):
        placed = GroupPlace.objects.filter(current(viewer.today), group__in=own_groups(viewer))
        may |= Q(pk__in=placed.values("pupil"))
    if viewer.has(Role.PROVIDER):
        assigned = ProviderAssignment.objects.filter(current(viewer.today), school=viewer.school, user=viewer.user)
        may |= Q(pk__in=assigned.values("pupil"))
    return may & (Q(left_on__isnull=True) | Q(left_on__gte=viewer.today))


def own_groups(viewer: Viewer) -> QuerySet[PupilGroup]:
    """The small groups that an assistant or provider holds today."""
    rows = PupilGroup.objects.filter(current(viewer.today), school=viewer.school, holder=viewer.user)
    return rows if viewer.has(Role.ASSISTANT, Role.PROVIDER) else rows.none()


def children(viewer: Viewer) -> QuerySet[Pupil]:
    """A parent's own children, linked today."""
    rows = Pupil.objects.filter(school=viewer.school)
    if not viewer.has(Role.PARENT):
        return rows.none()
    linked = Guardian.objects.filter(current(viewer.today), school=viewer.school, user=viewer.user)
    return rows.filter(pk__in=linked.values("pupil"))


def people(viewer: Viewer) -> QuerySet[Pupil]:
    """Pupils as rows of the roster: names, references, classes. No scores hang on this scope."""
    rows = Pupil.objects.filter(school=viewer.school)
    return rows if viewer.has(Role.OFFICE, Role.COORDINATOR, Role.DEPUTY) else rows.none()


def checks(viewer: Viewer) -> QuerySet[Check]:
    """Checks whose results the viewer may read."""
    rows = Check.objects.filter(school=viewer.school)
    if viewer.has(*WHOLE_SCHOOL):
        return rows
    may = Q(class_group__in=classes(viewer)) | Q(pupil_group__in=own_groups(viewer))
    return rows.filter(may | Q(pupil__in=pupils(viewer)))


def checks_to_enter(viewer: Viewer) -> QuerySet[Check]:
    """Checks the viewer may type scores into: of own classes, groups and pupils, whatever else the viewer may read.
    Cover: only the covered class's check of that day."""
    may = _own_checks(viewer)
    if viewer.has(Role.COVER):
        may |= Q(class_group__in=_taught(viewer, cover=True), on=viewer.today)
    return Check.objects.filter(may, school=viewer.school)


def checks_to_close(viewer: Viewer) -> QuerySet[Check]:
    """Checks of own classes, groups and pupils; never those that the viewer covers."""
    return Check.objects.filter(_own_checks(viewer), school=viewer.school)


def _own_checks(viewer: Viewer) -> Q:
    may = Q(pupil_group__in=own_groups(viewer))
    may |= Q(pupil__in=Pupil.objects.filter(_own_pupils(viewer), school=viewer.school))
    if viewer.has(Role.TEACHER):
        may |= Q(class_group__in=_taught(viewer, cover=False))
    return may


def attempts(viewer: Viewer) -> QuerySet[Attempt]:
    return Attempt.objects.filter(school=viewer.school, pupil__in=pupils(viewer))


def standings(viewer: Viewer) -> QuerySet[Standing]:
    return Standing.objects.filter(school=viewer.school, pupil__in=pupils(viewer))


def flags(viewer: Viewer) -> QuerySet[Flag]:
    return Flag.objects.filter(school=viewer.school, pupil__in=pupils(viewer))


def mastery_events(viewer: Viewer) -> QuerySet[MasteryEvent]:
    return MasteryEvent.objects.filter(school=viewer.school, pupil__in=pupils(viewer))


def conflicts(viewer: Viewer) -> QuerySet[Conflict]:
    return Conflict.objects.filter(school=viewer.school, attempt__check_sat__in=checks_to_enter(viewer))


def sheets(viewer: Viewer) -> QuerySet[Sheet]:
    """Sheets hold no names: all staff of the school may print them, but a covering teacher sees the check alone."""
    rows = Sheet.objects.filter(school=viewer.school)
    return rows if viewer.roles & (STAFF - {Role.COVER}) else rows.none()
