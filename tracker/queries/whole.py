"""Reads a whole school unscoped, for standings and what follows from them; nobody else may."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import date
from typing import NamedTuple

from django.db.models import Min, Q

from tracker.models import Attempt, Break, Flag, Mark, MasteryEvent, MaterialRecord, Phase

Pair = tuple[int, int]  # pupil and skill, by primary key


class Sat(NamedTuple):
    """One attempt as the measures need it: a light row, since a class has some nine hundred of them."""

    pk: int
    pupil_id: int
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
    phase_id: int | None
    phase_began: date | None
    phase_reason: str | None
    grade: int | None
    no_timed: bool


COLUMNS = (
    *("pk", "pupil_id", "skill_id", "taken_on", "status", "mode", "setting"),
    *("correct", "wrong", "omitted", "seconds"),
    *("regroup_correct", "regroup_wrong", "plain_correct", "plain_wrong"),
    *("phase_id", "phase__began_on", "phase__reason", "grade", "pupil__no_timed_checks"),
)


class Reached(NamedTuple):
    """What is on record for a pupil and skill besides attempts."""

    secure_on: date | None = None
    kept_on: date | None = None
    written_on: date | None = None


def histories(school_id: int, pupil_ids: Collection[int], skill_ids: Collection[int]) -> dict[Pair, list[Sat]]:
    """All attempts that are no longer due, oldest first."""
    found: dict[Pair, list[Sat]] = defaultdict(list)
    rows = Attempt.objects.filter(school_id=school_id, pupil_id__in=pupil_ids, skill_id__in=skill_ids)
    for values in rows.exclude(status=Attempt.Status.DUE).order_by("taken_on", "pk").values_list(*COLUMNS):
        row = Sat._make(values)
        found[row.pupil_id, row.skill_id].append(row)
    return found


def pupils_histories(school_id: int, pupil_ids: Collection[int]) -> dict[Pair, list[Sat]]:
    """The same for every skill the pupils ever sat."""
    rows = Attempt.objects.filter(school_id=school_id, pupil_id__in=pupil_ids)
    skills = rows.order_by().values_list("skill_id", flat=True).distinct()
    return histories(school_id, pupil_ids, list(skills))


def marks(school_id: int, skill_ids: Collection[int], pupil_ids: Collection[int]) -> list[Mark]:
    """The school's own marks that may concern these pupils; defaults have no row."""
    rows = Mark.objects.filter(school_id=school_id, skill_id__in=skill_ids)
    return list(rows.filter(Q(pupil__isnull=True) | Q(pupil_id__in=pupil_ids)).order_by("version"))


def reached(school_id: int, pupil_ids: Collection[int], skill_ids: Collection[int]) -> dict[Pair, Reached]:
    """Recorded days of becoming secure, being kept and first written work."""
    found: dict[Pair, Reached] = {}
    about = {"school_id": school_id, "pupil_id__in": pupil_ids, "skill_id__in": skill_ids}
    for pupil, skill, kind, on in MasteryEvent.objects.filter(**about).values_list(
        "pupil_id", "skill_id", "kind", "on"
    ):
        found[pupil, skill] = found.get((pupil, skill), Reached())._replace(**{f"{kind}_on": on})
    written = MaterialRecord.objects.filter(**about, level=MaterialRecord.Level.WRITTEN)
    for pupil, skill, on in (
        written.order_by()
        .values("pupil_id", "skill_id")
        .annotate(first=Min("on"))
        .values_list("pupil_id", "skill_id", "first")
    ):
        found[pupil, skill] = found.get((pupil, skill), Reached())._replace(written_on=on)
    return found


def flags_of(school_id: int, pupil_ids: Collection[int], kinds: Iterable[str]) -> list[Flag]:
    """Flags of these kinds that were raised and not withdrawn, latest first."""
    rows = Flag.objects.filter(school_id=school_id, pupil_id__in=pupil_ids, kind__in=list(kinds))
    return list(rows.exclude(state=Flag.State.WITHDRAWN).order_by("-raised_on", "-pk"))


def phases(school_id: int, pupil_ids: Collection[int], *, on: date) -> dict[Pair, Phase]:
    """The phase of each pupil and skill that holds on a day."""
    rows = Phase.objects.filter(school_id=school_id, pupil_id__in=pupil_ids, began_on__lte=on)
    return {(row.pupil_id, row.skill_id): row for row in rows.order_by("began_on", "pk")}


def breaks(school_id: int) -> Sequence[tuple[date, date]]:
    return list(Break.objects.filter(school_id=school_id).order_by("starts").values_list("starts", "ends"))
