"""One pupil and what is on record."""

from collections.abc import Iterable
from datetime import date
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet
from django.http import Http404

from tracker.access import scopes
from tracker.access.permissions import may
from tracker.access.viewer import Viewer, current
from tracker.models import Attempt, Break, Enrolment, Flag, Mark, Phase, Pupil, SchoolYear, Standing
from tracker.queries.standings import Stand, Step


def pupil(viewer: Viewer, pupil_id: str) -> Pupil:
    found = scopes.pupils(viewer).filter(public_id=pupil_id).first()
    if found is None:
        raise Http404
    return found


def place(viewer: Viewer, one: Pupil) -> Enrolment | None:
    """The class and grade that hold today."""
    return (
        Enrolment.objects.filter(current(viewer.today), school=viewer.school, pupil=one)
        .select_related("class_group")
        .order_by("-starts")
        .first()
    )


class SatRow(NamedTuple):
    """One attempt as the page about a child needs it: a light row, since a child has a hundred of them."""

    skill_id: int
    taken_on: date
    status: str
    mode: str
    setting: str
    correct: int | None
    wrong: int | None
    omitted: int | None
    seconds: int | None
    regroup_correct: int | None
    regroup_wrong: int | None
    plain_correct: int | None
    plain_wrong: int | None
    confirmed: bool
    sheet_code: str | None
    digits_possible: int | None
    check_id: str
    class_key: int | None


COLUMNS = (
    *("skill_id", "taken_on", "status", "mode", "setting", "correct", "wrong", "omitted", "seconds"),
    *("regroup_correct", "regroup_wrong", "plain_correct", "plain_wrong", "confirmed"),
    *("sheet__code", "sheet__digits_possible", "check_sat__public_id", "check_sat__class_group_id"),
)


def sat(viewer: Viewer, one: Pupil) -> list[SatRow]:
    """All that was sat or missed, oldest first. `one` comes from the scoped query above."""
    rows = Attempt.objects.filter(school=viewer.school, pupil=one, status__in=["done", "stopped", "absent"])
    return [SatRow._make(values) for values in rows.order_by("taken_on", "pk").values_list(*COLUMNS)]


def standing_flags(viewer: Viewer, one: Pupil) -> QuerySet[Flag]:
    """Open and seen flags, newest first."""
    rows = Flag.objects.filter(school=viewer.school, pupil=one, state__in=[Flag.State.OPEN, Flag.State.ACKNOWLEDGED])
    return rows.select_related("skill__twin", "seen_by").order_by("-raised_on", "pk")


def open_classes(viewer: Viewer, asked: Iterable[int | None]) -> dict[int, str]:
    """Of these classes, by primary key, those whose pages the viewer may open, with their public ids."""
    if not may(viewer, "read-classes"):
        return {}
    known = {key for key in asked if key is not None}
    return dict(scopes.classes(viewer).filter(pk__in=known).values_list("pk", "public_id"))


class OwnStand(NamedTuple):
    """The row that carries the stage, with what the page about one child says besides."""

    stand: Stand
    skill_id: int
    kept_on: date | None
    chance_at_mark: float | None
    missing: list[dict[str, Any]]

    @property
    def key(self) -> str:
        return self.stand.skill.key

    @property
    def stage(self) -> str:
        return self.stand.stage

    @property
    def secure_on(self) -> date | None:
        return self.stand.secure_on


def own_stands(viewer: Viewer, one: Pupil) -> list[OwnStand]:
    """In the order of the ladder."""
    rows = Standing.objects.filter(school=viewer.school, pupil=one, is_current=True).order_by("skill__position")
    more = OwnStand._fields[1:]
    found = rows.values_list(*more, "skill__key", "skill__kind", "skill__position", "pupil_id", *Stand._fields[2:])
    return [_own(values[: len(more)], values[len(more) :]) for values in found]


def _own(more: tuple[Any, ...], stand: tuple[Any, ...]) -> OwnStand:
    key, kind, position, pupil, *rest = stand
    return OwnStand(Stand(pupil, Step(key, kind, position), *rest), *more)


def phases(viewer: Viewer, one: Pupil) -> QuerySet[Phase]:
    return Phase.objects.filter(school=viewer.school, pupil=one)


def marks(viewer: Viewer, one: Pupil) -> QuerySet[Mark]:
    """Marks that may hold for this pupil: their own and the school's."""
    return Mark.objects.filter(Q(pupil__isnull=True) | Q(pupil=one), school=viewer.school)


def breaks(viewer: Viewer) -> QuerySet[Break]:
    return Break.objects.filter(school=viewer.school)


def years(viewer: Viewer) -> QuerySet[SchoolYear]:
    return SchoolYear.objects.filter(school=viewer.school)
