"""What a parent may read about their own children: no rate, no history, nobody else's child."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Max

from tracker.access import scopes
from tracker.access.viewer import Viewer, current
from tracker.models import Attempt, Enrolment, Standing, Teaching

STILL_LEARNT = ("learning", "quicker", "few", "not-started")
MOST_SKILLS = 3


@dataclass(frozen=True)
class Child:
    """`skill_keys` are what the child works on now, the latest first."""

    name: str
    class_name: str
    teachers: tuple[str, ...]
    skill_keys: tuple[str, ...]
    last_check: date | None


def own_children(viewer: Viewer) -> list[Child]:
    """Five statements whatever the number of children."""
    pupils = list(scopes.children(viewer))
    keys = [pupil.pk for pupil in pupils]
    places = _places(viewer, keys)
    teachers = _teachers(viewer, {place.class_group_id for place in places.values()})
    skills, last = _skills(viewer, keys), _last_checks(viewer, keys)
    return [
        Child(
            name=str(pupil),
            class_name=places[pupil.pk].class_group.name if pupil.pk in places else "",
            teachers=teachers.get(places[pupil.pk].class_group_id, ()) if pupil.pk in places else (),
            skill_keys=skills.get(pupil.pk, ())[:MOST_SKILLS],
            last_check=last.get(pupil.pk),
        )
        for pupil in pupils
    ]


def _places(viewer: Viewer, pupils: list[int]) -> dict[int, Enrolment]:
    rows = Enrolment.objects.filter(current(viewer.today), school=viewer.school, pupil__in=pupils)
    return {row.pupil_id: row for row in rows.select_related("class_group").order_by("starts", "pk")}


def _teachers(viewer: Viewer, classes: set[int]) -> dict[int, tuple[str, ...]]:
    rows = Teaching.objects.filter(current(viewer.today), school=viewer.school, class_group__in=classes, cover=False)
    names: dict[int, tuple[str, ...]] = {}
    for class_group, name in rows.order_by("starts", "pk").values_list("class_group", "user__name"):
        names[class_group] = (*names.get(class_group, ()), name)
    return names


def _skills(viewer: Viewer, pupils: list[int]) -> dict[int, tuple[str, ...]]:
    """From checks written at school; the year sheet and the copying sheet are no steps that one works on."""
    rows = Standing.objects.filter(
        school=viewer.school, pupil__in=pupils, is_current=True, stage__in=STILL_LEARNT, skill__kind="skill"
    )
    keys: dict[int, tuple[str, ...]] = {}
    for pupil, key in rows.order_by("-last_on", "skill__position").values_list("pupil", "skill__key"):
        keys[pupil] = (*keys.get(pupil, ()), key)
    return keys


def _last_checks(viewer: Viewer, pupils: list[int]) -> dict[int, date]:
    rows = Attempt.objects.filter(school=viewer.school, pupil__in=pupils, status=Attempt.Status.DONE)
    return dict(rows.values_list("pupil").annotate(Max("taken_on")))
