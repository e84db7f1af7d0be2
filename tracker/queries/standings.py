"""Where pupils stand, for pages that show many of them."""

from collections.abc import Collection
from datetime import date
from typing import NamedTuple

from django.db.models import QuerySet

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Check, MasteryEvent, Standing


class Step(NamedTuple):
    """A skill as pages with many rows need it."""

    key: str
    kind: str
    position: int


class Stand(NamedTuple):
    """The row that carries the stage of a pupil on a skill: a light one, since a class has hundreds."""

    pupil_id: int
    skill: Step
    stage: str
    checks: int
    last_on: date | None
    last_rate: float | None
    last_accuracy: float | None
    pooled_accuracy: float | None
    secure_on: date | None


COLUMNS = ("pupil_id", "skill__key", "skill__kind", "skill__position", *Stand._fields[2:])


def current(viewer: Viewer, pupils: Collection[int]) -> list[Stand]:
    """In the order of pupils and skills. `pupils` come from a scoped query."""
    rows = Standing.objects.filter(school=viewer.school, pupil__in=pupils, is_current=True)
    found = rows.order_by("pupil_id", "skill__position").values_list(*COLUMNS)
    return [Stand(pupil, Step(key, kind, position), *rest) for pupil, key, kind, position, *rest in found]


def became(viewer: Viewer, pupils: Collection[int], since: date) -> QuerySet[MasteryEvent]:
    """What became secure or kept since a day, newest first. `pupils` come from a scoped query."""
    rows = MasteryEvent.objects.filter(school=viewer.school, pupil__in=pupils, on__gte=since)
    return rows.select_related("pupil", "skill").order_by("-on", "pupil__sort_name", "pk")


def became_by(viewer: Viewer, check_sat: Check) -> QuerySet[MasteryEvent]:
    """What the rows of this check brought to secure or kept."""
    rows = scopes.mastery_events(viewer).filter(attempt__check_sat=check_sat)
    return rows.select_related("pupil", "skill").order_by("pupil__sort_name", "skill__position")


def still_within(viewer: Viewer, check_sat: Check) -> set[int]:
    """Of the pupils who sat a check those whose record is still the viewer's to open."""
    return set(scopes.pupils(viewer).filter(attempts__check_sat=check_sat).values_list("pk", flat=True))
