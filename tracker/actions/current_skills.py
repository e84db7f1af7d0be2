"""Which skill each pupil is on now."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Min

from tracker.measures import ladder
from tracker.models import Check, Enrolment, School, Skill, Standing
from tracker.queries.whole import Pair, Sat


@dataclass(frozen=True)
class CurrentSkill:
    """The day of the last attempt on it, or since when it is the pupil's next one."""

    pupil_id: int
    skill: Skill
    last_on: date | None
    since: date | None


def last_sat(rows: Sequence[Sat]) -> date | None:
    """The day of the last attempt that was sat, wherever that was."""
    return max((row.taken_on for row in rows if row.status in ("done", "stopped")), default=None)


def current_skills(
    school: School, places: Mapping[int, Enrolment], histories: Mapping[Pair, Sequence[Sat]]
) -> list[CurrentSkill]:
    """One a pupil: the begun skill that was sat last and is not secure; without one, the ladder's next."""
    skills = {skill.pk: skill for skill in Skill.objects.filter(kind="skill", in_use=True)}
    stages = _stages(school, places)
    first_checks = _first_checks(places)
    found = []
    for pupil, place in places.items():
        own = stages.get(pupil, {})
        open_skills = [
            (last, -skills[skill].position, skill)
            for (who, skill), rows in histories.items()
            if who == pupil and skill in skills and (last := last_sat(rows)) and not _done(own.get(skill))
        ]
        if open_skills:
            last, _, skill = max(open_skills)
            found.append(CurrentSkill(pupil, skills[skill], last, None))
        elif following := _following(own, place, skills=skills, first_check=first_checks.get(place.class_group_id)):
            found.append(following)
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
    own: Mapping[int, Standing], place: Enrolment, *, skills: Mapping[int, Skill], first_check: date | None
) -> CurrentSkill | None:
    by_key = {skill.key: skill for skill in skills.values()}
    stages = {skills[skill].key: row.stage for skill, row in own.items() if skill in skills}
    key = ladder.propose(stages, grade=place.grade)
    reached = [row.secure_on for skill, row in own.items() if skill in skills and row.secure_on]
    if key is None or key not in by_key or first_check is None:
        return None
    return CurrentSkill(place.pupil_id, by_key[key], None, max([place.starts, first_check, *reached]))
