"""Keeps the standings: rows that can always be worked out again from attempts, marks and recorded days."""

import math
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from typing import Any

from django.db import transaction
from django.db.models import F, Q

from tracker.models import Attempt, Mark, Pupil, School, Skill, Standing
from tracker.progress.rules import mark_for, rules_of
from tracker.progress.standings import Case, compute
from tracker.queries import whole
from tracker.queries.whole import Pair, Reached, Sat

PUPILS_AT_A_TIME = 200
# Everything that is worked out; not when, nor the flag that it was out of date.
COMPARED = (
    *("stage", "checks", "first_on", "last_on", "last_rate", "last_accuracy", "pooled_accuracy", "mean_rate"),
    *("chance_at_mark", "mark_rate", "mark_accuracy", "mark_version", "growth", "growth_se", "growth_low"),
    *("growth_high", "secure_on", "kept_on", "missing", "measures_version"),
)


def refresh(*, school: School, pairs: Collection[Pair], on: date, at: datetime) -> list[Standing]:
    """Works out the standings of these pupils and skills (primary keys) again, inside another action's transaction."""
    if not pairs:
        return []
    _hold({pupil for pupil, _ in pairs})
    made = compute(cases(school, pairs, on=on), rules=rules_of(school), at=at)
    write(made, pairs)
    return made


def _hold(pupils: Collection[int]) -> None:
    """Held in order, so that two refreshes of one pupil follow each other."""
    list(Pupil.objects.select_for_update(no_key=True).filter(pk__in=pupils).order_by("pk").values_list("pk"))


def cases(school: School, pairs: Collection[Pair], *, on: date) -> list[Case]:
    pupils, skills = {pupil for pupil, _ in pairs}, {skill for _, skill in pairs}
    keys = dict(Skill.objects.filter(pk__in=skills).values_list("pk", "key"))
    rows = whole.histories(school.pk, pupils, skills)
    on_record = whole.reached(school.pk, pupils, skills)
    marks = whole.marks(school.pk, skills, pupils)
    return [
        case_of(
            school,
            pair,
            rows.get(pair, []),
            key=keys[pair[1]],
            marks=marks,
            reached=on_record.get(pair, Reached()),
            on=on,
        )
        for pair in sorted(pairs)
    ]


def case_of(
    school: School,
    pair: Pair,
    rows: Sequence[Sat],
    *,
    key: str,
    marks: Iterable[Mark],
    reached: Reached,
    on: date,
) -> Case:
    last = rows[-1] if rows else None
    mark = mark_for(marks, skill_id=pair[1], skill_key=key, pupil_id=pair[0], grade=last.grade if last else None, on=on)
    return Case(school.pk, *pair, rows, mark, reached, no_timed=last.no_timed if last else False)


def write(made: Sequence[Standing], pairs: Collection[Pair]) -> None:
    """Replaces all standings of the pairs; a series whose last attempt went away goes with them."""
    by_skill: dict[int, list[int]] = {}
    for pupil, skill in sorted(pairs):
        by_skill.setdefault(skill, []).append(pupil)
    about = Q(pk__in=[])
    for skill, pupils in by_skill.items():
        about |= Q(skill_id=skill, pupil_id__in=pupils)
    Standing.objects.filter(about).delete()
    Standing.objects.bulk_create(made)


@dataclass
class Rebuilt:
    """Rows written, rows whose numbers are not what they were, and stage changes as 'quicker -> secure'."""

    written: int = 0
    changed: int = 0
    stages: Counter[str] = field(default_factory=Counter)


def rebuild(*, school: School, on: date, at: datetime, stale_only: bool = False, look_only: bool = False) -> Rebuilt:
    """Works out all standings of a school, some hundred pupils in a transaction. Flags and recorded days stay."""
    found = Rebuilt()
    if stale_only:
        _mark_stale(school, on)
    pupils = _pupils(school, stale_only)
    for first in range(0, len(pupils), PUPILS_AT_A_TIME):
        some = pupils[first : first + PUPILS_AT_A_TIME]
        _rebuild_some(school, some, found, on=on, at=at, only=(stale_only, look_only))
    return found


def _mark_stale(school: School, on: date) -> None:
    """A mark that was set ahead makes standings stale on the day it begins to hold."""
    ahead = Mark.objects.filter(school=school, valid_from__lte=on, valid_from__gt=F("recorded_at__date"))
    for mark in ahead:
        begins = datetime.combine(mark.valid_from, time.min, tzinfo=UTC)
        Standing.objects.filter(school=school, skill=mark.skill_id, updated_at__lt=begins).update(stale=True)


def _pupils(school: School, stale_only: bool) -> list[int]:
    standing = Standing.objects.filter(school=school)
    if stale_only:
        return list(standing.filter(stale=True).order_by("pupil").values_list("pupil", flat=True).distinct())
    sat = Attempt.objects.filter(school=school).exclude(status=Attempt.Status.DUE)
    return sorted({*sat.order_by().values_list("pupil", flat=True), *standing.values_list("pupil", flat=True)})


@transaction.atomic
def _rebuild_some(
    school: School, pupils: Sequence[int], found: Rebuilt, *, on: date, at: datetime, only: tuple[bool, bool]
) -> None:
    stale_only, look_only = only
    _hold(pupils)
    before = list(Standing.objects.filter(school=school, pupil__in=pupils))
    pairs = {(row.pupil_id, row.skill_id) for row in before if row.stale or not stale_only}
    if not stale_only:
        pairs |= set(whole.pupils_histories(school.pk, pupils))
    made = compute(cases(school, pairs, on=on), rules=rules_of(school), at=at)
    _compare([row for row in before if (row.pupil_id, row.skill_id) in pairs], made, found)
    if not look_only:
        write(made, pairs)


def _compare(before: Sequence[Standing], made: Sequence[Standing], found: Rebuilt) -> None:
    old, new = {_name(row): row for row in before}, {_name(row): row for row in made}
    found.written += len(made)
    for name in old.keys() | new.keys():
        was, now = old.get(name), new.get(name)
        found.changed += was is None or now is None or not _alike(was, now)
        if name[2] and (was.stage if was else "none") != (now.stage if now else "none"):
            found.stages[f"{was.stage if was else 'none'} -> {now.stage if now else 'none'}"] += 1


def _name(row: Standing) -> tuple[Any, ...]:
    return row.pupil_id, row.skill_id, row.is_current, row.place, row.mode, row.phase_id


def _alike(was: Standing, now: Standing) -> bool:
    return all(_same(getattr(was, name), getattr(now, name)) for name in COMPARED)


def _same(was: Any, now: Any) -> bool:
    if isinstance(was, float) and isinstance(now, float):
        return math.isclose(was, now, rel_tol=1e-9, abs_tol=1e-9)
    return bool(was == now)
