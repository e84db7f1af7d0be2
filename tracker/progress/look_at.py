"""Who to look at and why, and who became secure: flags and days on record in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from tracker.models import Flag, MasteryEvent, School
from tracker.progress.evidence import sentence
from tracker.progress.vocabulary import flag_label, skill_label

NO_NAMES: Mapping[int, str] = MappingProxyType({})


@dataclass(frozen=True)
class Reason:
    kind: str
    label: str
    skill: str
    why: str
    raised_on: date


@dataclass(frozen=True)
class LookAt:
    """One pupil with all reasons to look."""

    pupil_id: str
    name: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class Became:
    pupil_id: str
    name: str
    kind: str
    skill: str
    on: date


def look_at(raised: Iterable[Flag], school: School, names: Mapping[int, str] = NO_NAMES) -> tuple[LookAt, ...]:
    """Each pupil once, in the order in which their flags come. `names` tell namesakes of a class apart."""
    by_pupil: dict[int, list[Flag]] = {}
    for flag in raised:
        by_pupil.setdefault(flag.pupil_id, []).append(flag)
    return tuple(
        LookAt(
            own[0].pupil.public_id, names.get(pupil, str(own[0].pupil)), tuple(_reason(flag, school) for flag in own)
        )
        for pupil, own in by_pupil.items()
    )


def _reason(flag: Flag, school: School) -> Reason:
    return Reason(
        kind=flag.kind,
        label=flag_label(flag.kind),
        skill=skill_label(flag.skill.key, school),
        why=sentence(flag, school),
        raised_on=flag.raised_on,
    )


def became(events: Iterable[MasteryEvent], school: School, names: Mapping[int, str] = NO_NAMES) -> tuple[Became, ...]:
    return tuple(
        Became(
            one.pupil.public_id,
            names.get(one.pupil_id, str(one.pupil)),
            one.kind,
            skill_label(one.skill.key, school),
            one.on,
        )
        for one in events
    )
