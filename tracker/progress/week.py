"""The teacher's week: what is due, who to look at, who became secure, and what the whole class needs."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tracker.access.viewer import Viewer
from tracker.measures.rules import Rules
from tracker.models import Check, ClassGroup, Enrolment, Flag, MasteryEvent, School
from tracker.progress.by_chance import sentence, skills_sat
from tracker.progress.called import called
from tracker.progress.class_needs import ClassNeed, class_needs, own_flags
from tracker.progress.look_at import Became, LookAt, became, look_at
from tracker.progress.rules import rules_of
from tracker.queries import checks, classes, flags, standings
from tracker.queries.standings import Stand

RECENT_DAYS = 13


@dataclass(frozen=True)
class OpenCheck:
    check_id: str
    class_id: str
    on: date
    left: int
    size: int


@dataclass(frozen=True)
class WeekClass:
    """A class as its teacher meets it on Friday; `seen` are pupils whose flags somebody has seen already."""

    class_id: str
    name: str
    pupils: int
    open_checks: tuple[OpenCheck, ...]
    look_at: tuple[LookAt, ...]
    seen: tuple[LookAt, ...]
    became: tuple[Became, ...]
    needs: tuple[ClassNeed, ...]
    by_chance: str


def week(viewer: Viewer) -> tuple[WeekClass, ...]:
    """All classes that the viewer teaches, in a fixed number of statements."""
    groups = list(classes.taught_classes(viewer))
    places = list(classes.places_of_classes(viewer, groups))
    pupils = [place.pupil_id for place in places]
    parts = _Parts(
        school=viewer.school,
        rules=rules_of(viewer.school),
        members=_by_class(places),
        checks=list(checks.open_of_classes(viewer, groups)),
        flags=list(flags.standing_flags(viewer, pupils)),
        events=list(standings.became(viewer, pupils, viewer.today - timedelta(days=RECENT_DAYS))),
        standings=standings.current(viewer, pupils),
        names=called(place.pupil for place in places),
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
    standings: list[Stand]
    names: Mapping[int, str]

    def of(self, group: ClassGroup) -> WeekClass:
        members = self.members.get(group.pk, set())
        rows = [one for one in self.standings if one.pupil_id in members]
        needs = class_needs(rows, self.school, class_size=len(members), rules=self.rules)
        shown = own_flags((one for one in self.flags if one.pupil_id in members), needs)
        return WeekClass(
            class_id=group.public_id,
            name=group.name,
            pupils=len(members),
            open_checks=tuple(_open(one, group) for one in self.checks if one.class_group_id == group.pk),
            look_at=look_at((one for one in shown if one.state == Flag.State.OPEN), self.school, self.names),
            seen=look_at((one for one in shown if one.state == Flag.State.ACKNOWLEDGED), self.school, self.names),
            became=became((one for one in self.events if one.pupil_id in members), self.school, self.names),
            needs=needs,
            by_chance=sentence(self.school, len(members), skills_sat(rows)) if shown else "",
        )


def _open(check: Check, group: ClassGroup) -> OpenCheck:
    left, size = getattr(check, "left", 0), getattr(check, "size", 0)
    return OpenCheck(check.public_id, group.public_id, check.on, left, size)
