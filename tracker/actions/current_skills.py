"""Which skill each pupil is on now."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Min

from tracker.measures import ladder
from tracker.models import Check, Enrolment, School, Skill, Standing
from tracker.queries.whole import Pair, Sat


@dataclass(frozen=True)
class CurrentSkill:
    """The day of the last attempt on it, if any, and since when it is the one to check."""

    pupil_id: int
    skill: Skill
    last_on: date | None
    since: date


def last_sat(rows: Sequence[Sat]) -> date | None:
    """The day of the last attempt that was sat, wherever that was."""
    return max((row.taken_on for row in rows if row.status in ("done", "stopped")), default=None)


def current_skills(
    school: School, places: Mapping[int, Enrolment], histories: Mapping[Pair, Sequence[Sat]]
) -> list[CurrentSkill]:
    """One a pupil: the begun skill that was sat last and is not secure; without one, the ladder's next. Until the skill
    before it became secure nobody missed a check of it, nor in the holidays before the year."""
    skills = {skill.pk: skill for skill in Skill.objects.filter(kind="skill", in_use=True)}
    stages = _stages(school, places)
    first_checks = _first_checks(places)
    begun = _begun(histories, skills=skills, off=school.skills_off)
    found = []
    for pupil, place in places.items():
        own = {skill: row for skill, row in stages.get(pupil, {}).items() if skill in skills}
        since = max([place.class_group.year.starts, *(row.secure_on for row in own.values() if row.secure_on)])
        open_skills = [one for one in begun.get(pupil, ()) if not _done(own.get(one[-1]))]
        first_check = first_checks.get(place.class_group_id)
        if open_skills:
            last, _, skill = max(open_skills)
            found.append(CurrentSkill(pupil, skills[skill], last, since))
        elif first_check and (following := _following(own, place, skills=skills, off=school.skills_off)):
            found.append(CurrentSkill(pupil, following, None, max(since, place.starts, first_check)))
    return found


def _begun(
    histories: Mapping[Pair, Sequence[Sat]], *, skills: Mapping[int, Skill], off: Collection[str]
) -> dict[int, list[tuple[date, int, int]]]:
    """Each pupil's skills with an attempt: its last day, the place from the top, the skill."""
    found: dict[int, list[tuple[date, int, int]]] = defaultdict(list)
    for (pupil, skill), rows in histories.items():
        if skill in skills and skills[skill].key not in off and (last := last_sat(rows)):
            found[pupil].append((last, -skills[skill].position, skill))
    return found


def _done(row: Standing | None) -> bool:
    return row is not None and row.stage in ladder.DONE


def _stages(school: School, places: Mapping[int, Enrolment]) -> dict[int, dict[int, Standing]]:
    rows: dict[int, dict[int, Standing]] = defaultdict(dict)
    for row in Standing.objects.filter(school=school, pupil__in=list(places), is_current=True):
        rows[row.pupil_id][row.skill_id] = row
    return rows


def _first_checks(places: Mapping[int, Enrolment]) -> dict[int, date]:
    """When each class began with checks: before that nobody is overdue."""
    groups = {place.class_group_id for place in places.values()}
    rows = Check.objects.filter(class_group__in=groups, state=Check.State.CLOSED).order_by().values("class_group")
    return dict(rows.annotate(first=Min("on")).values_list("class_group", "first"))


def _following(
    own: Mapping[int, Standing], place: Enrolment, *, skills: Mapping[int, Skill], off: Collection[str]
) -> Skill | None:
    stages = {skills[skill].key: row.stage for skill, row in own.items()}
    key = ladder.propose(stages, grade=place.grade, off=off)
    return next((skill for skill in skills.values() if skill.key == key), None)
