"""Keeps the standings: rows that can always be worked out again from attempts, marks and recorded days."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime

from django.db.models import Q

from tracker.models import Mark, Pupil, School, Skill, Standing
from tracker.progress.rules import mark_for, rules_of
from tracker.progress.standings import Case, compute
from tracker.queries import whole
from tracker.queries.whole import Pair, Reached, Sat


def refresh(*, school: School, pairs: Collection[Pair], on: date, at: datetime) -> list[Standing]:
    """Works out the standings of these pupils and skills (primary keys) again, inside another action's transaction."""
    if not pairs:
        return []
    pupils = {pupil for pupil, _ in pairs}
    # Held in order, so that two refreshes of one pupil follow each other.
    list(Pupil.objects.select_for_update(no_key=True).filter(pk__in=pupils).order_by("pk").values_list("pk"))
    made = compute(cases(school, pairs, on=on), rules=rules_of(school), at=at)
    write(made, pairs)
    return made


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


def differences(before: Mapping[tuple[object, ...], Standing], made: Sequence[Standing]) -> list[str]:
    """Stage changes that a rebuild brings, as 'quicker -> secure', one a pupil and skill."""
    changes = []
    for row in made:
        old = before.get((row.pupil_id, row.skill_id))
        if row.is_current and (old is None or old.stage != row.stage):
            changes.append(f"{old.stage if old else 'none'} -> {row.stage}")
    return changes
