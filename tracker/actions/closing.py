"""Closes checks: works the class out once, records who became secure, and raises the flags that rest on scores."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple

from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils import timezone

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.actions import standings
from tracker.actions.errors import OutOfScope
from tracker.actions.locks import hold_rows, reached_of
from tracker.actions.reach import demand
from tracker.actions.record import Change, note_changes
from tracker.measures.observations import Observation
from tracker.measures.rules import MEASURES_VERSION
from tracker.models import Attempt, Check, Flag, MasteryEvent, School
from tracker.progress.judgement import FROM_SCORES, Event, Reason, events, may_raise, reasons
from tracker.progress.observations import observations_from
from tracker.progress.rules import rules_of
from tracker.progress.standings import Case, compute
from tracker.queries import whole
from tracker.queries.whole import Pair, Sat

# Pupils who were away may catch up for a week; then what is still due was not given.
OVERDUE_DAYS = 7


class Reached(NamedTuple):
    """A pupil's skill that became secure or was kept, by public id and key."""

    pupil_id: str
    skill_key: str


class Raised(NamedTuple):
    flag_id: str
    pupil_id: str
    skill_key: str
    kind: str


@dataclass(frozen=True)
class Closed:
    """What closing a check showed."""

    check_id: str
    secure: tuple[Reached, ...] = ()
    kept: tuple[Reached, ...] = ()
    flags: tuple[Raised, ...] = ()
    rows: int = 0
    done: int = 0
    absent: int = 0
    stopped: int = 0
    not_given: int = 0


@transaction.atomic
def close_check(*, check_id: str, by: Viewer, on: date) -> Closed:
    """Rows still due become "not given". Closing a closed check changes nothing and tells again what it showed."""
    demand(by, "close-checks")
    reach = scopes.checks_to_close(by)
    if _take(reach, check_id, by):
        return _close(check_id, by=by, on=on)
    check = reach.filter(public_id=check_id).first()
    if check is None:
        raise OutOfScope
    return what_it_showed(check)


def close_overdue(*, school: School, on: date) -> int:
    """Closes the school's checks that are complete since yesterday, or older than a week; a transaction each."""
    old = Check.objects.filter(school=school, state=Check.State.OPEN, on__lt=on)
    due = Attempt.objects.filter(check_sat=OuterRef("pk"), status=Attempt.Status.DUE)
    over = old.filter(Q(on__lte=on - timedelta(days=OVERDUE_DAYS)) | ~Exists(due)).order_by("on", "pk")
    return sum(_close_over(check_id, over, on=on) for check_id in list(over.values_list("public_id", flat=True)))


@transaction.atomic
def _close_over(check_id: str, over: QuerySet[Check], *, on: date) -> bool:
    taken = _take(over.order_by(), check_id, None)
    if taken:
        _close(check_id, by=None, on=on)
    return taken


def _take(reach: QuerySet[Check], check_id: str, by: Viewer | None) -> bool:
    """Turns an open check into a closed one. The update holds the row as select_for_update does, and of two people who
    close at once only one gets it."""
    closed = {"state": Check.State.CLOSED, "closed_at": timezone.now(), "closed_by": by.user if by else None}
    return reach.filter(public_id=check_id, state=Check.State.OPEN).update(**closed) == 1


def _close(check_id: str, *, by: Viewer | None, on: date) -> Closed:
    rows = hold_rows(check_id)
    check = rows[0].check_sat if rows else Check.objects.select_related("school").get(public_id=check_id)
    due = [row for row in rows if row.status == Attempt.Status.DUE]
    if due:
        left = check.attempts.filter(status=Attempt.Status.DUE)
        left.update(status=Attempt.Status.NOT_GIVEN, version=F("version") + 1)
        for row in due:
            row.status = Attempt.Status.NOT_GIVEN
    told, raised = judge(check, rows, by=by, on=on, at=check.closed_at or timezone.now())
    after = {"rows": len(rows), "not_given": len(due)}
    changes = [Change("close-check", "check", check.public_id, after=after), *judged_changes(told, raised)]
    note_changes(changes, by=by, on=on, school=check.school)
    return _closed(check, rows, told=told, raised=raised)


def judged_changes(told: Sequence[MasteryEvent], raised: Sequence[Flag]) -> list[Change]:
    return [
        *(event_change("reach", event) for event in told),
        *(flag_change("raise-flag", flag) for flag in raised),
    ]


def judge(
    check: Check, rows: Sequence[Any], *, by: Viewer | None, on: date, at: datetime
) -> tuple[list[MasteryEvent], list[Flag]]:
    """Runs the class once: writes standings, new events and new flags, and gives back the last two."""
    rules = rules_of(check.school)
    cases, twins = class_cases(check, rows, on=on)
    answers = {case.pair: case.answer(rules) for case in cases}
    standings.write(compute(cases, rules=rules, at=at, answers=answers), [case.pair for case in cases])
    size = max([len({row.pupil_id for row in rows}), *(row.class_size or 0 for row in rows)])
    found = reasons(cases, answers, twins, class_size=size, rules=rules, on=on)
    earlier = whole.flags_of(check.school_id, {row.pupil_id for row in rows}, FROM_SCORES) if found else []
    new = [reason for reason in found if may_raise(reason, earlier, rules=rules)]
    named = {(row.pupil_id, row.skill_id): row for row in rows}
    made_events = [_event(event, named[event.case.pair], at) for event in events(cases, answers)]
    made_flags = [_flag(reason, named[reason.case.pair], check=check, by=by, on=on, at=at) for reason in new]
    # What another check of the same pupil recorded a moment ago stands.
    MasteryEvent.objects.bulk_create(made_events, ignore_conflicts=True)
    Flag.objects.bulk_create(made_flags, ignore_conflicts=True)
    return made_events, made_flags


def class_cases(check: Check, rows: Sequence[Any], *, on: date) -> tuple[list[Case], dict[Pair, list[Observation]]]:
    """The check's pupils and skills as cases, and what the pupils did on the twins of these skills."""
    pupils = {row.pupil_id for row in rows}
    skills = {row.skill_id for row in rows}
    twin_of = {row.skill_id: row.skill.twin_id for row in rows}
    histories = whole.histories(check.school_id, pupils, skills.union(filter(None, twin_of.values())))
    marks = whole.marks(check.school_id, skills, pupils)
    cases = [
        standings.case_of(
            check.school,
            (row.pupil_id, row.skill_id),
            histories.get((row.pupil_id, row.skill_id), []),
            key=row.skill.key,
            marks=marks,
            reached=reached_of(row),
            on=on,
        )
        for row in rows
    ]
    return cases, _twins(cases, twin_of, histories)


def twins_of(cases: Collection[Case], twin_of: Mapping[int, int | None]) -> dict[Pair, list[Observation]]:
    """The same for cases that are not of one check; reads nothing where there are none."""
    if not cases:
        return {}
    skills = [twin for twin in twin_of.values() if twin]
    school_id = next(case.school_id for case in cases)
    return _twins(cases, twin_of, whole.histories(school_id, {case.pupil_id for case in cases}, skills))


def _twins(
    cases: Iterable[Case], twin_of: Mapping[int, int | None], histories: Mapping[Pair, list[Sat]]
) -> dict[Pair, list[Observation]]:
    return {
        case.pair: observations_from(histories.get((case.pupil_id, twin_of[case.skill_id] or 0), [])) for case in cases
    }


def _event(event: Event, row: Any, at: datetime) -> MasteryEvent:
    return MasteryEvent(
        school_id=row.school_id,
        pupil=row.pupil,
        skill=row.skill,
        kind=event.kind,
        on=event.on,
        attempt_id=event.attempt_id,
        mark_accuracy=event.mark.accuracy,
        mark_rate=None if event.case.no_timed else event.mark.rate,
        mark_source=event.mark.source,
        mark_version=event.mark.version,
        chance=event.chance,
        measures_version=MEASURES_VERSION,
        recorded_at=at,
    )


def _flag(reason: Reason, row: Any, *, check: Check, by: Viewer | None, on: date, at: datetime) -> Flag:
    return Flag(
        school_id=row.school_id,
        pupil=row.pupil,
        skill=row.skill,
        kind=reason.kind,
        raised_on=on,
        raised_at=at,
        check_sat=check,
        evidence=reason.evidence.as_dict(),
        attempts_then=reason.checks,
        holder=by.user if by else None,
        measures_version=MEASURES_VERSION,
    )


def event_change(action: str, event: MasteryEvent, why: str = "") -> Change:
    after = {"skill": event.skill.key, "kind": event.kind, "on": event.on.isoformat()}
    return Change(action, "mastery-event", event.public_id, event.pupil.public_id, after=after, why=why)


def flag_change(action: str, flag: Flag, why: str = "") -> Change:
    after = {"skill": flag.skill.key, "kind": flag.kind, "state": flag.state}
    return Change(action, "flag", flag.public_id, flag.pupil.public_id, after=after, why=why)


def what_it_showed(check: Check) -> Closed:
    rows = list(check.attempts.select_related("pupil", "skill"))
    pupils = [row.pupil_id for row in rows]
    # Closing records the days at the moment it closes.
    then = check.closed_at or timezone.now()
    told = MasteryEvent.objects.filter(recorded_at=then, pupil__in=pupils).select_related("pupil", "skill")
    raised = check.flags.exclude(state=Flag.State.WITHDRAWN).select_related("pupil", "skill").order_by("pk")
    return _closed(check, rows, told=list(told), raised=list(raised))


def _closed(check: Check, rows: Sequence[Any], *, told: Sequence[MasteryEvent], raised: Sequence[Flag]) -> Closed:
    def of(kind: str) -> tuple[Reached, ...]:
        return tuple(Reached(one.pupil.public_id, one.skill.key) for one in told if one.kind == kind)

    def count(status: str) -> int:
        return sum(row.status == status for row in rows)

    return Closed(
        check_id=check.public_id,
        secure=of(MasteryEvent.Kind.SECURE),
        kept=of(MasteryEvent.Kind.KEPT),
        flags=tuple(Raised(flag.public_id, flag.pupil.public_id, flag.skill.key, flag.kind) for flag in raised),
        rows=len(rows),
        done=count(Attempt.Status.DONE),
        absent=count(Attempt.Status.ABSENT),
        stopped=count(Attempt.Status.STOPPED),
        not_given=count(Attempt.Status.NOT_GIVEN),
    )
