"""The rows a viewer may see. Every scope starts with the school; nothing else decides who sees a child."""

from django.db.models import Q, QuerySet

from tracker.access.viewer import Viewer, current
from tracker.models import (
    Attempt,
    Check,
    ClassGroup,
    Conflict,
    Enrolment,
    Flag,
    Guardian,
    MasteryEvent,
    Pupil,
    PupilGroup,
    Role,
    Sheet,
    Standing,
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
    rows = ClassGroup.objects.filter(school=viewer.school)
    may = Q(pk__in=[])
    if viewer.has(Role.TEACHER):
        may |= Q(pk__in=_taught(viewer, cover=False))
    if viewer.has(Role.COVER):
        may |= Q(pk__in=_taught(viewer, cover=True))
    return rows.filter(may)


def _taught(viewer: Viewer, *, cover: bool) -> QuerySet[ClassGroup]:
    return ClassGroup.objects.filter(
        current(viewer.today, prefix="teachings__"), teachings__user=viewer.user, teachings__cover=cover
    ).values("pk")


def pupils(viewer: Viewer) -> QuerySet[Pupil]:
    """Pupils whose record the viewer may open. A move of class, a left pupil or an ended assignment takes effect
    with its date."""
    rows = Pupil.objects.filter(school=viewer.school)
    if viewer.has(*WHOLE_SCHOOL):
        return rows
    may = Q(pk__in=[])
    if viewer.has(Role.TEACHER):
        may |= Q(
            pk__in=Enrolment.objects.filter(current(viewer.today), class_group__in=classes(viewer)).values("pupil")
        )
    if viewer.has(Role.ASSISTANT, Role.PROVIDER):
        may |= Q(pk__in=_in_own_groups(viewer))
    if viewer.has(Role.PROVIDER):
        may |= Q(
            pk__in=Pupil.objects.filter(
                current(viewer.today, prefix="provider_assignments__"), provider_assignments__user=viewer.user
            ).values("pk")
        )
    return rows.filter(may)


def _in_own_groups(viewer: Viewer) -> QuerySet[Pupil]:
    return Pupil.objects.filter(
        current(viewer.today, prefix="group_places__"),
        group_places__group__in=PupilGroup.objects.filter(
            current(viewer.today), school=viewer.school, holder=viewer.user
        ),
    ).values("pk")


def children(viewer: Viewer) -> QuerySet[Pupil]:
    """A parent's own children, linked today."""
    return Pupil.objects.filter(
        pk__in=Guardian.objects.filter(current(viewer.today), school=viewer.school, user=viewer.user).values("pupil"),
        school=viewer.school,
    )


def people(viewer: Viewer) -> QuerySet[Pupil]:
    """Pupils as rows of the roster: names, references, classes. No scores hang on this scope."""
    rows = Pupil.objects.filter(school=viewer.school)
    return rows if viewer.has(Role.OFFICE, Role.COORDINATOR, Role.DEPUTY) else rows.none()


def checks(viewer: Viewer) -> QuerySet[Check]:
    """Checks whose results the viewer may read."""
    rows = Check.objects.filter(school=viewer.school)
    if viewer.has(*WHOLE_SCHOOL):
        return rows
    may = Q(class_group__in=classes(viewer))
    may |= Q(pupil_group__in=PupilGroup.objects.filter(current(viewer.today), holder=viewer.user))
    may |= Q(pupil__in=pupils(viewer).values("pk"))
    return rows.filter(may)


def checks_to_enter(viewer: Viewer) -> QuerySet[Check]:
    """Checks the viewer may type scores into. Cover: only a check of that class sat or open on that day."""
    rows = Check.objects.filter(school=viewer.school)
    may = Q(class_group__in=classes(viewer)) if viewer.has(Role.TEACHER) else Q(pk__in=[])
    if viewer.has(Role.COVER):
        may |= Q(class_group__in=_taught(viewer, cover=True), on=viewer.today)
    if viewer.has(Role.ASSISTANT, Role.PROVIDER):
        may |= Q(pupil_group__in=PupilGroup.objects.filter(current(viewer.today), holder=viewer.user))
    return rows.filter(may)


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
    """Sheets hold no names: all staff of the school may print them."""
    rows = Sheet.objects.filter(school=viewer.school)
    return rows if viewer.is_staff else rows.none()
