"""The next check of a class: a skill proposed for each pupil, with the reason in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.measures import flags, ladder
from tracker.measures.ladder import DONE
from tracker.measures.rules import Rules
from tracker.models import Attempt, ClassGroup, Enrolment, School
from tracker.progress.called import called
from tracker.progress.observations import observations_from
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import grade_label, skill_label, stage_label
from tracker.queries import checks, classes, standings
from tracker.queries.standings import Stand


@dataclass(frozen=True)
class Proposal:
    """What one pupil should sit next, and why; no skill when nothing is left to propose."""

    skill_key: str
    why: str


@dataclass(frozen=True)
class PlanLine:
    """`timed` is false for a pupil who sits no timed checks at all, `untimed` proposes one sheet without time."""

    pupil_id: str
    name: str
    grade: str
    skill_key: str
    skill: str
    why: str
    timed: bool
    untimed: bool


@dataclass(frozen=True)
class ClassPlan:
    lines: tuple[PlanLine, ...]
    several_grades: bool


@dataclass(frozen=True)
class _Known:
    """What is on record for one pupil."""

    standings: Sequence[Stand]
    sat: Sequence[Attempt]


def class_plan(viewer: Viewer, group: ClassGroup, *, on: date | None = None, everyone: str = "") -> ClassPlan:
    """`everyone` sets one skill for the whole class: a skill key, or `year` for each grade's mixed year sheet."""
    places = list(classes.class_places(viewer, group, on))
    known = _known(viewer, [place.pupil_id for place in places])
    names = called(place.pupil for place in places)
    rules = rules_of(viewer.school)
    lines = []
    for place in places:
        own = known[place.pupil_id]
        found = propose(own.standings, grade=place.grade, school=viewer.school, on=viewer.today, rules=rules)
        found = _for_everyone(everyone, place.grade, viewer.school) or found
        line = _line(place, found, own, school=viewer.school, rules=rules)
        lines.append(replace(line, name=names[place.pupil_id]))
    return ClassPlan(lines=tuple(lines), several_grades=len({place.grade for place in places}) > 1)


def _known(viewer: Viewer, pupils: Sequence[int]) -> Mapping[int, _Known]:
    stand: dict[int, list[Stand]] = {pupil: [] for pupil in pupils}
    sat: dict[int, list[Attempt]] = {pupil: [] for pupil in pupils}
    for row in standings.current(viewer, pupils):
        stand[row.pupil_id].append(row)
    for attempt in checks.recent_rows(viewer, pupils):
        sat[attempt.pupil_id].append(attempt)
    return {pupil: _Known(stand[pupil], sat[pupil]) for pupil in pupils}


def _line(place: Enrolment, found: Proposal, own: _Known, *, school: School, rules: Rules) -> PlanLine:
    timed = not place.pupil.no_timed_checks
    stopped = timed and flags.suggest_untimed(observations_from(own.sat), rules=rules)
    return PlanLine(
        pupil_id=place.pupil.public_id,
        name=str(place.pupil),
        grade=grade_label(place.grade, school),
        skill_key=found.skill_key,
        skill=skill_label(found.skill_key, school) if found.skill_key else "",
        why=_("stopped several times: talk with the child, and give it without time") if stopped else found.why,
        timed=timed,
        untimed=stopped,
    )


def skill_choices(school: School) -> list[tuple[str, str]]:
    """Every skill that the school uses, in ladder order."""
    return [(one.key, skill_label(one.key, school)) for one in ladder.steps() if one.key not in school.skills_off]


def _for_everyone(everyone: str, grade: int, school: School) -> Proposal | None:
    key = f"year-{grade}" if everyone == "year" else everyone
    used = {one.key for one in ladder.steps()} - set(school.skills_off)
    return Proposal(key, _("set for everyone")) if key in used else None


def propose(rows: Sequence[Stand], *, grade: int, school: School, on: date, rules: Rules) -> Proposal:
    """A skill that has been secure long enough is looked at again between two checks of the current skill."""
    off = set(school.skills_off)
    skills = [row for row in rows if row.skill.kind == "skill" and row.skill.key not in off]
    latest = max(skills, key=lambda row: (row.last_on or date.min, row.skill.position), default=None)
    if latest is not None and latest.stage not in DONE and (due := _retention(skills, on, rules)):
        return due
    stages = {row.skill.key: row.stage for row in skills if row.stage}
    key = ladder.propose(stages, grade=grade, off=off)
    return Proposal(key or "", _why(key, stages))


def _retention(rows: Sequence[Stand], on: date, rules: Rules) -> Proposal | None:
    """The secure skill that waits longest. One failed check asks for a second, so it comes round again."""
    later = timedelta(days=rules.kept_after_days)
    due = [row for row in rows if row.stage == "secure" and row.secure_on and row.secure_on + later <= on]
    if not due:
        return None
    oldest = min(due, key=lambda row: (row.last_on or date.min, row.skill.position))
    seen_since = oldest.last_on and oldest.secure_on and oldest.last_on >= oldest.secure_on + later
    return Proposal(
        oldest.skill.key, _("not kept last time: once more") if seen_since else _("secure a month ago: is it kept?")
    )


def _why(key: str | None, stages: Mapping[str, str]) -> str:
    if key is None:
        return _("all skills of the ladder are secure")
    if key in stages and stages[key] != "not-started":
        return stage_label(stages[key])
    return _("next on the ladder") if stages else _("first check: nothing on record yet")
