"""Takes locks in one order everywhere: the check, then its rows and their pupils, so that nothing waits in a ring."""

from collections.abc import Collection
from typing import Any

from django.db.models import Count, Exists, JSONField, OuterRef, Q, QuerySet, Subquery

from tracker.access.viewer import Viewer
from tracker.actions.errors import OutOfScope
from tracker.models import Answer, Attempt, Check, Enrolment, MasteryEvent, MaterialRecord, SaveKey, School
from tracker.queries.whole import Pair, Reached

# What judging a class asks of a row; a class has thirty of them, each with its pupil, skill and check.
JUDGED = (
    *("public_id", "school_id", "status", "class_group_id"),
    *("pupil__public_id", "pupil__no_timed_checks", "skill__key", "skill__twin_id"),
    *("check_sat__public_id", "check_sat__closed_at", "check_sat__school__rules"),
)


def hold_check(rows: QuerySet[Check], check_id: str) -> Check:
    """`rows` is the scope; the lock is on the check alone, not on what is read along with it."""
    held = rows.select_for_update(of=("self",), no_key=True).select_related("school", "year", "class_group")
    check = held.filter(public_id=check_id).first()
    if check is None:
        raise OutOfScope
    return check


def hold_rows(check_id: str) -> list[Any]:
    """All rows of a check that is held, with what is on record for their pupils and skills, in pupil order."""
    rows = _held().annotate(class_size=_class_size()).filter(check_sat__public_id=check_id)
    rows = rows.select_related("check_sat__school")
    return list(rows.only(*JUDGED).order_by("pupil_id", "pk"))


def hold_latest(school: School, pairs: Collection[Pair]) -> list[Any]:
    """The latest row of each of these pupils and skills in closed checks, with what is on record, in pupil order."""
    wanted = set(pairs)
    sat = Attempt.objects.filter(school=school, pupil__in={pupil for pupil, _skill in wanted})
    closed = sat.filter(check_sat__state=Check.State.CLOSED)
    order = closed.order_by("taken_on", "pk").values_list("pupil_id", "skill_id", "pk")
    latest = {(pupil, skill): key for pupil, skill, key in order if (pupil, skill) in wanted}
    rows = _held().annotate(class_size=_class_size()).filter(pk__in=latest.values())
    return list(rows.order_by("pupil_id", "pk"))


def hold_row(check: Check, attempt_id: str, *, by: Viewer, key: str = "") -> Any:
    """One row, and in the same statement: rows still due, whether answers exist, the result kept under the key."""
    rows = (
        _held()
        .filter(check_sat=check)
        .select_related("sheet")
        .annotate(
            due_left=Subquery(_due(check).values("check_sat").annotate(n=Count("pk")).values("n")),
            has_answers=Exists(Answer.objects.filter(attempt=OuterRef("pk"))),
            stored=Subquery(_stored(by, key).values("result")[:1], output_field=JSONField()),
            stored_for=Subquery(_stored(by, key).values("attempt")[:1]),
        )
    )
    row = rows.filter(public_id=attempt_id).first()
    if row is None:
        raise OutOfScope
    row.was_due = row.status == Attempt.Status.DUE
    return row


def _held() -> QuerySet[Any]:
    # Pupils are held too: two checks of one pupil and skill must not work out the standing side by side.
    rows = Attempt.objects.select_for_update(of=("self", "pupil"), no_key=True)
    return rows.select_related("pupil", "skill").annotate(
        secure_on=Subquery(_events(MasteryEvent.Kind.SECURE)),
        kept_on=Subquery(_events(MasteryEvent.Kind.KEPT)),
        written_on=Subquery(_material()),
    )


def _class_size() -> Subquery:
    """Pupils of the row's class on its day: a check for a part of the class must not pass for the whole of it."""
    places = Enrolment.objects.filter(
        Q(ends__isnull=True) | Q(ends__gte=OuterRef("taken_on")),
        class_group=OuterRef("class_group"),
        starts__lte=OuterRef("taken_on"),
    )
    return Subquery(places.order_by().values("class_group").annotate(n=Count("pupil", distinct=True)).values("n"))


def _due(check: Check) -> QuerySet[Attempt]:
    return Attempt.objects.filter(check_sat=check, status=Attempt.Status.DUE).order_by()


def _stored(by: Viewer, key: str) -> QuerySet[SaveKey]:
    return SaveKey.objects.filter(user=by.user, key=key)


def _events(kind: str) -> QuerySet[MasteryEvent, Any]:
    same = MasteryEvent.objects.filter(pupil=OuterRef("pupil"), skill=OuterRef("skill"), kind=kind)
    return same.values("on")[:1]


def _material() -> QuerySet[MaterialRecord, Any]:
    same = MaterialRecord.objects.filter(pupil=OuterRef("pupil"), skill=OuterRef("skill"))
    return same.filter(level=MaterialRecord.Level.WRITTEN).order_by("on").values("on")[:1]


def reached_of(row: Any) -> Reached:
    return Reached(row.secure_on, row.kept_on, row.written_on)
