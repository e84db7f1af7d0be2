"""The teacher's week: what is due, who to look at, who became secure, and what the whole class needs."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tracker.access.viewer import Viewer
from tracker.measures.flags import class_wide
from tracker.measures.rules import Rules
from tracker.models import Check, ClassGroup, Enrolment, Flag, MasteryEvent, School, Standing
from tracker.progress.evidence import sentence
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import flag_label, skill_label
from tracker.queries import checks, classes, flags, standings

RECENT_DAYS = 13


@dataclass(frozen=True)
class OpenCheck:
    check_id: str
    class_id: str
    on: date
    left: int
    size: int


@dataclass(frozen=True)
class LookAt:
    pupil_id: str
    name: str
    kind: str
    label: str
    skill: str
    why: str
    raised_on: date
    seen: bool


@dataclass(frozen=True)
class Became:
    pupil_id: str
    name: str
    kind: str
    skill: str
    on: date


@dataclass(frozen=True)
class ClassNeed:
    """More than half of those who sat the skill are below the gate: one lesson for all, not many flags."""

    skill: str
    skill_key: str
    below: int
    pupils: int


@dataclass(frozen=True)
class WeekClass:
    class_id: str
    name: str
    pupils: int
    open_checks: tuple[OpenCheck, ...]
    look_at: tuple[LookAt, ...]
    became: tuple[Became, ...]
    needs: tuple[ClassNeed, ...]
    unseen: int


def week(viewer: Viewer) -> tuple[WeekClass, ...]:
    """All classes that the viewer teaches, in a fixed number of statements."""
    groups = list(classes.current_classes(viewer))
    places = list(classes.places_of_classes(viewer, groups))
    pupils = [place.pupil_id for place in places]
    parts = _Parts(
        school=viewer.school,
        rules=rules_of(viewer.school),
        members=_by_class(places),
        checks=list(checks.open_checks(viewer)),
        flags=list(flags.standing_flags(viewer, pupils)),
        events=list(standings.became(viewer, pupils, viewer.today - timedelta(days=RECENT_DAYS))),
        standings=list(standings.current(viewer, pupils)),
    )
    return tuple(parts.of(group) for group in groups)


def _by_class(places: Sequence[Enrolment]) -> dict[int, set[int]]:
    members: dict[int, set[int]] = defaultdict(set)
    for place in places:
        members[place.class_group_id].add(place.pupil_id)
    return members


@dataclass(frozen=True)
class _Parts:
    school: School
    rules: Rules
    members: dict[int, set[int]]
    checks: list[Check]
    flags: list[Flag]
    events: list[MasteryEvent]
    standings: list[Standing]

    def of(self, group: ClassGroup) -> WeekClass:
        members = self.members.get(group.pk, set())
        rows = [one for one in self.standings if one.pupil_id in members]
        needs = class_needs(rows, self.school, class_size=len(members), rules=self.rules)
        covered = {need.skill_key for need in needs}
        shown = [
            one
            for one in self.flags
            if one.pupil_id in members and not (one.skill.key in covered and is_score(one.kind))
        ]
        return WeekClass(
            class_id=group.public_id,
            name=group.name,
            pupils=len(members),
            open_checks=tuple(_open(one, group) for one in self.checks if one.class_group_id == group.pk),
            look_at=tuple(look_at(one, self.school) for one in shown),
            became=tuple(became(one, self.school) for one in self.events if one.pupil_id in members),
            needs=needs,
            unseen=sum(1 for one in shown if one.state == Flag.State.OPEN),
        )


def is_score(kind: str) -> bool:
    """Flags that rest on scores; one lesson for the whole class comes before them."""
    return kind in (Flag.Kind.ACCURACY, Flag.Kind.REGROUPING)


def _open(check: Check, group: ClassGroup) -> OpenCheck:
    left, size = getattr(check, "left", 0), getattr(check, "size", 0)
    return OpenCheck(check.public_id, group.public_id, check.on, left, size)


def look_at(flag: Flag, school: School) -> LookAt:
    return LookAt(
        pupil_id=flag.pupil.public_id,
        name=str(flag.pupil),
        kind=flag.kind,
        label=flag_label(flag.kind),
        skill=skill_label(flag.skill.key, school),
        why=sentence(flag, school),
        raised_on=flag.raised_on,
        seen=flag.state == Flag.State.ACKNOWLEDGED,
    )


def became(event: MasteryEvent, school: School) -> Became:
    return Became(event.pupil.public_id, str(event.pupil), event.kind, skill_label(event.skill.key, school), event.on)


def class_needs(rows: Sequence[Standing], school: School, *, class_size: int, rules: Rules) -> tuple[ClassNeed, ...]:
    """Skills that more than half of the class gets wrong too often, in ladder order."""
    by_skill: dict[str, list[Standing]] = defaultdict(list)
    for row in sorted(rows, key=lambda row: row.skill.position):
        if row.stage not in ("secure", "kept", ""):
            by_skill[row.skill.key].append(row)
    found = []
    for key, standing in by_skill.items():
        answer = class_wide([one.pooled_accuracy for one in standing], class_size=class_size, rules=rules)
        if answer is not None:
            found.append(ClassNeed(skill_label(key, school), key, answer.below, answer.pupils))
    return tuple(found)
