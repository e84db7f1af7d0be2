"""What a closed check shows: which skills became secure or kept, and which flags its scores raise."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from tracker.measures import flags, stages
from tracker.measures.evidence import Evidence
from tracker.measures.keeping import kept
from tracker.measures.marks import Mark
from tracker.measures.mastery import first_secure
from tracker.measures.observations import Observation, school_written
from tracker.measures.rules import Rules
from tracker.models import Flag, MasteryEvent
from tracker.progress.standings import Case, below_gate

Answers = Mapping[tuple[int, int], stages.StageAnswer]
SECURE, KEPT = MasteryEvent.Kind.SECURE, MasteryEvent.Kind.KEPT
FROM_SCORES = (Flag.Kind.REGROUPING, Flag.Kind.ACCURACY)


@dataclass(frozen=True)
class Event:
    """A day of becoming secure or being kept that is not on record yet."""

    case: Case
    mark: Mark
    kind: str
    on: date
    attempt_id: int | None
    chance: float | None


@dataclass(frozen=True)
class Reason:
    """A reason to look, with its evidence."""

    case: Case
    kind: str
    evidence: Evidence
    checks: int


def events(cases: Iterable[Case], answers: Answers) -> list[Event]:
    """Without a mark a skill never becomes secure, so such cases give none."""
    found = []
    for case in cases:
        answer, mark = answers[case.pair], case.mark
        if mark and case.reached.secure_on is None and answer.secure_on is not None:
            sat = _sat_on(case, answer.secure_on)
            found.append(Event(case, mark, SECURE, answer.secure_on, sat, answer.chance_at_mark))
        if mark and case.reached.kept_on is None and answer.kept_on is not None:
            found.append(Event(case, mark, KEPT, answer.kept_on, _sat_on(case, answer.kept_on), None))
    return found


def _sat_on(case: Case, on: date) -> int | None:
    """The attempt that decided, by primary key; none when a material record did."""
    return max((row.pk for row in case.rows if row.taken_on == on and row.status in ("done", "stopped")), default=None)


def reasons(
    cases: Sequence[Case],
    answers: Answers,
    twins: Mapping[tuple[int, int], Sequence[Observation]],
    *,
    class_size: int,
    rules: Rules,
    on: date,
) -> list[Reason]:
    """`twins` gives for a pupil and skill the observations on the skill's twin. A skill that more than half of the
    class is below the gate on is taught to the class: nobody is flagged for it."""
    by_skill: dict[int, list[Case]] = {}
    for case in cases:
        by_skill.setdefault(case.skill_id, []).append(case)
    found = []
    for own in by_skill.values():
        if below_gate((answers[case.pair] for case in own), class_size=class_size, rules=rules):
            continue
        for case in own:
            found += [
                Reason(case, kind, evidence, answers[case.pair].checks)
                for kind in FROM_SCORES
                if (evidence := ground(kind, case, twins.get(case.pair, ()), rules=rules, on=on)) is not None
            ]
    return found


def ground(kind: str, case: Case, twin: Sequence[Observation], *, rules: Rules, on: date) -> Evidence | None:
    """The evidence for one flag as it stood on a day; None when there is none."""
    until = [seen for seen in case.observations if seen.on <= on]
    if kind == Flag.Kind.REGROUPING:
        if not twin:
            return None
        return flags.regrouping_gap(until, twin, on=on, taught_from=case.taught_from, rules=rules)
    return flags.accuracy_stays_low(until, rules=rules)


def may_raise(reason: Reason, earlier: Iterable[Flag], *, rules: Rules) -> bool:
    """Never while the same flag stands, and again only after enough new checks."""
    same = [flag for flag in earlier if (flag.pupil_id, flag.skill_id, flag.kind) == (*reason.case.pair, reason.kind)]
    if any(flag.state in (Flag.State.OPEN, Flag.State.ACKNOWLEDGED) for flag in same):
        return False
    last = max((flag.raised_on for flag in same), default=None)
    return flags.may_rise_again(last, reason.case.observations, rules=rules)


def still_secure(event: MasteryEvent, case: Case, *, rules: Rules) -> bool:
    """Whether a recorded day still has its ground under the mark that held when it was recorded."""
    mark = Mark(
        accuracy=float(event.mark_accuracy),
        rate=float(event.mark_rate) if event.mark_rate is not None else None,
        source=event.mark_source,
        version=event.mark_version,
        valid_from=date.min,
    )
    until = [seen for seen in school_written(case.observations) if seen.on <= event.on]
    if event.kind == SECURE:
        return first_secure(until, mark, rules=rules) is not None
    secure_on = case.reached.secure_on
    return secure_on is not None and kept(until, mark, secure_on, on=event.on, rules=rules).kept_on is not None
