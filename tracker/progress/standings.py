"""Where pupils stand: from attempts, marks and recorded days to the rows that pages read."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from functools import cached_property
from math import isnan, nan

from tracker.measures import flags, growth, series, stages
from tracker.measures.marks import Mark
from tracker.measures.observations import Observation, pooled_accuracy, school_written
from tracker.measures.rules import MEASURES_VERSION, Rules
from tracker.models import Standing
from tracker.progress.observations import observations_from
from tracker.queries.whole import Pair, Reached, Sat

# A slope's error needs three checks; with fewer than five no interval can hold 95 %.
SLOPE_FROM, INTERVAL_FROM = 3, 5
NOTHING = Reached()
Series = tuple[Pair, str, str, int | None]  # pupil and skill, place, mode, phase


@dataclass(frozen=True)
class Case:
    """One pupil on one skill: all that the measures ask."""

    school_id: int
    pupil_id: int
    skill_id: int
    rows: Sequence[Sat]
    mark: Mark | None
    reached: Reached = NOTHING
    no_timed: bool = False

    @property
    def pair(self) -> Pair:
        return self.pupil_id, self.skill_id

    @cached_property
    def observations(self) -> list[Observation]:
        return observations_from(self.rows)

    @property
    def taught_from(self) -> date | None:
        """The day teaching of the skill began or last changed, where somebody recorded it."""
        began = [row.phase_began for row in self.rows if row.phase_reason == "teaching" and row.phase_began]
        return max(began, default=None)

    def answer(self, rules: Rules) -> stages.StageAnswer:
        return stages.stage(
            self.observations,
            self.mark,
            rules=rules,
            secure_on=self.reached.secure_on,
            kept_on=self.reached.kept_on,
            no_timed=self.no_timed,
            written_material=self.reached.written_on or False,
        )


@dataclass(frozen=True)
class Growth:
    slope: float | None = None
    se: float | None = None
    low: float | None = None
    high: float | None = None


def compute(
    cases: Iterable[Case], *, rules: Rules, at: datetime, answers: Mapping[Pair, stages.StageAnswer] | None = None
) -> list[Standing]:
    """Unsaved rows: for each case with an attempt one row a series, and the current row that carries the stage.
    `answers` spares asking for stages twice."""
    kept = [case for case in cases if case.rows]
    parts = {case.pair: _series(case) for case in kept}
    grown = _growth({key: rows for own in parts.values() for key, rows in own.items()})
    made: list[Standing] = []
    for case in kept:
        answer = answers[case.pair] if answers else case.answer(rules)
        made.append(_current(case, answer, _latest_growth(parts[case.pair], grown), at=at))
        made += [
            _one_series(case, key, rows, grown=grown[key], rules=rules, at=at) for key, rows in parts[case.pair].items()
        ]
    return made


def _series(case: Case) -> dict[Series, list[Observation]]:
    """The case's observations by series; of two on one day, in the order in which they were entered."""
    parts: dict[Series, list[Observation]] = defaultdict(list)
    for row, seen in zip(case.rows, case.observations, strict=True):
        parts[case.pair, seen.place, seen.mode, row.phase_id].append(seen)
    return parts


def _growth(parts: Mapping[Series, Sequence[Observation]]) -> dict[Series, Growth]:
    """Growth a week of every series written in a known time; all at once, since a class has sixty of them."""
    keys = list(parts)
    seen = [(n, one) for n, key in enumerate(keys) for one in parts[key] if one.counts_for_rate]
    found = {key: Growth() for key in keys}
    if not seen:
        return found
    table = growth.grow_all(
        series.SeriesTable.from_columns(
            series_id=[n for n, _ in seen],
            week=[one.week for _, one in seen],
            correct=[one.correct for _, one in seen],
            wrong=[one.wrong for _, one in seen],
            seconds=[one.seconds or nan for _, one in seen],
        )
    )
    for index, n in enumerate(table.series_id):
        found[keys[int(n)]] = _shown(table, index)
    return found


def _shown(table: growth.GrowthTable, index: int) -> Growth:
    checks = int(table.checks[index])
    if checks < SLOPE_FROM:
        return Growth()
    with_interval = checks >= INTERVAL_FROM
    return Growth(
        slope=_number(table.slope[index]),
        se=_number(table.slope_se[index]),
        low=_number(table.low[index]) if with_interval else None,
        high=_number(table.high[index]) if with_interval else None,
    )


def _number(value: float) -> float | None:
    return None if isnan(value) else float(value)


def _latest_growth(parts: Mapping[Series, Sequence[Observation]], grown: Mapping[Series, Growth]) -> Growth:
    """Growth of the school's written series that goes on now: a new phase starts its own line."""
    written = [key for key in parts if key[1:3] == ("school", "written")]
    latest = max(written, key=lambda key: (parts[key][-1].on, key[3] or 0), default=None)
    return grown[latest] if latest else Growth()


def _current(case: Case, answer: stages.StageAnswer, grown: Growth, *, at: datetime) -> Standing:
    counted = [one for one in school_written(case.observations) if one.counts_for_rate or one.counts_for_accuracy]
    return Standing(
        school_id=case.school_id,
        pupil_id=case.pupil_id,
        skill_id=case.skill_id,
        is_current=True,
        stage=answer.stage,
        checks=answer.checks,
        first_on=counted[0].on if counted else None,
        last_on=counted[-1].on if counted else None,
        last_rate=answer.last_rate,
        last_accuracy=answer.last_accuracy,
        pooled_accuracy=answer.pooled_accuracy,
        mean_rate=answer.mean_rate,
        chance_at_mark=answer.chance_at_mark,
        mark_rate=case.mark.rate if case.mark and not case.no_timed else None,
        mark_accuracy=case.mark.accuracy if case.mark else None,
        mark_version=case.mark.version if case.mark else 0,
        secure_on=answer.secure_on,
        kept_on=answer.kept_on,
        missing=[asdict(one) for one in answer.missing],
        measures_version=MEASURES_VERSION,
        updated_at=at,
        **_growth_fields(grown),
    )


def _one_series(
    case: Case, key: Series, rows: Sequence[Observation], *, grown: Growth, rules: Rules, at: datetime
) -> Standing:
    seen = [one for one in rows if one.status in ("done", "stopped")]
    written = [one for one in seen if one.counts_for_accuracy]
    rates = [rate for one in seen if (rate := one.rate) is not None]
    last = rates[-rules.pool :]
    return Standing(
        school_id=case.school_id,
        pupil_id=case.pupil_id,
        skill_id=case.skill_id,
        is_current=False,
        place=key[1],
        mode=key[2],
        phase_id=key[3],
        checks=len(seen),
        first_on=seen[0].on if seen else None,
        last_on=seen[-1].on if seen else None,
        last_rate=rates[-1] if rates else None,
        last_accuracy=written[-1].accuracy if written else None,
        pooled_accuracy=pooled_accuracy(written[-rules.pool :], rules=rules),
        mean_rate=sum(last) / len(last) if last else None,
        measures_version=MEASURES_VERSION,
        updated_at=at,
        **_growth_fields(grown),
    )


def _growth_fields(grown: Growth) -> dict[str, float | None]:
    return {
        "growth": grown.slope,
        "growth_se": grown.se,
        "growth_low": grown.low,
        "growth_high": grown.high,
    }


def below_gate(answers: Iterable[stages.StageAnswer], *, class_size: int, rules: Rules) -> bool:
    """Whether the skill should be taught to the class rather than flagged pupil by pupil."""
    pooled = [one.pooled_accuracy if one.checks >= rules.few_checks else None for one in answers]
    return flags.class_wide(pooled, class_size=class_size, rules=rules) is not None
