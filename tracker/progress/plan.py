"""The next check of a class: a skill proposed for each pupil, with the reason in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.measures import ladder
from tracker.measures.rules import Rules
from tracker.models import ClassGroup, Enrolment, Pupil, School, Standing
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import grade_label, skill_label, stage_label
from tracker.queries import classes, standings


@dataclass(frozen=True)
class Proposal:
    """What one pupil should sit next, and why; no skill when nothing is left to propose."""

    skill_key: str
    why: str


@dataclass(frozen=True)
class PlanLine:
    pupil_id: str
    name: str
    grade: str
    skill_key: str
    skill: str
    why: str
    timed: bool


@dataclass(frozen=True)
class ClassPlan:
    lines: tuple[PlanLine, ...]
    choices: tuple[tuple[str, str], ...]
    several_grades: bool


def class_plan(viewer: Viewer, group: ClassGroup, *, everyone: str = "") -> ClassPlan:
    """`everyone` sets one skill for the whole class: a skill key, or `year` for each grade's mixed year sheet."""
    places = list(classes.class_places(viewer, group))
    by_pupil: dict[int, list[Standing]] = {}
    for row in standings.current(viewer, [place.pupil_id for place in places]):
        by_pupil.setdefault(row.pupil_id, []).append(row)
    rules = rules_of(viewer.school)
    lines = [
        _line(place, by_pupil.get(place.pupil_id, []), viewer.school, everyone=everyone, on=viewer.today, rules=rules)
        for place in places
    ]
    return ClassPlan(
        lines=tuple(lines),
        choices=tuple(skill_choices(viewer.school)),
        several_grades=len({place.grade for place in places}) > 1,
    )


def skill_choices(school: School) -> list[tuple[str, str]]:
    """Every skill that the school uses, in ladder order."""
    return [(one.key, skill_label(one.key, school)) for one in ladder.steps() if one.key not in school.skills_off]


def _line(
    place: Enrolment, rows: Sequence[Standing], school: School, *, everyone: str, on: date, rules: Rules
) -> PlanLine:
    found = propose(rows, grade=place.grade, school=school, on=on, rules=rules)
    key = _set_for_all(everyone, place.grade, school) or found.skill_key
    return PlanLine(
        pupil_id=place.pupil.public_id,
        name=str(place.pupil),
        grade=grade_label(place.grade, school),
        skill_key=key,
        skill=skill_label(key, school) if key else "",
        why=found.why if key == found.skill_key else _("set for everyone"),
        timed=not place.pupil.no_timed_checks,
    )


def _set_for_all(everyone: str, grade: int, school: School) -> str:
    key = f"year-{grade}" if everyone == "year" else everyone
    used = {one.key for one in ladder.steps()} - set(school.skills_off)
    return key if key in used else ""


def propose(rows: Sequence[Standing], *, grade: int, school: School, on: date, rules: Rules) -> Proposal:
    """A skill that has been secure long enough is looked at again once, between two checks of the current skill."""
    done = {"secure", "kept"}
    off = set(school.skills_off)
    latest = max(rows, key=lambda row: (row.last_on or date.min, row.skill.position), default=None)
    due = [row for row in rows if _is_retention_due(row, on, rules) and row.skill.key not in off]
    if due and (latest is None or latest.stage not in done):
        oldest = min(due, key=lambda row: (row.secure_on or on, row.skill.position))
        return Proposal(oldest.skill.key, _("secure for a while: see whether it is kept"))
    stages = {row.skill.key: row.stage for row in rows if row.skill.kind == "skill" and row.stage}
    key = ladder.propose(stages, grade=grade, off=off)
    return Proposal(key or "", _why(key, stages))


def _is_retention_due(row: Standing, on: date, rules: Rules) -> bool:
    if row.stage != "secure" or row.secure_on is None or row.skill.kind != "skill":
        return False
    since = row.secure_on + timedelta(days=rules.kept_after_days)
    return since <= on and (row.last_on is None or row.last_on < since)


def _why(key: str | None, stages: Mapping[str, str]) -> str:
    if key is None:
        return _("all skills of the ladder are secure")
    if key in stages and stages[key] != "not-started":
        return stage_label(stages[key])
    return _("next on the ladder") if stages else _("first check: nothing on record yet")


def pupil_proposal(pupil: Pupil, rows: Sequence[Standing], *, grade: int, on: date) -> Proposal:
    """The proposal for one pupil, for their own page."""
    return propose(rows, grade=grade, school=pupil.school, on=on, rules=rules_of(pupil.school))
