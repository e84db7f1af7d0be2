"""Writes the scores of a school year: each pupil week by week, from a kind and a seed."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from zlib import crc32

import numpy as np

from tracker.management.demo import routes
from tracker.management.demo.calendar import Calendar
from tracker.management.demo.natures import (
    FACTS_CEILING,
    KINDS,
    STUCK_ACCURACY,
    STUCK_GROWTH,
    STUCK_START,
    WRITING_CEILING,
    Nature,
)
from tracker.measures import ladder
from tracker.measures.keeping import CHECK_AGAIN, DUE, kept
from tracker.measures.marks import COMMON_PRACTICE, Mark
from tracker.measures.observations import Observation, pooled_accuracy, school_week
from tracker.measures.sheets.timed import timed_sheet
from tracker.measures.stages import SECURE, stage

SEED = 20_260_907
ABSENT_SHARE, CLASS_SKIPS_SHARE, HOME_SHARE = 0.035, 0.03, 0.5
FORM_SPREAD, HARD_FORMS, DAY_CARRY = 0.06, 0.06, 0.2
LENGTH_OF_YEAR_WITHOUT_MARK = 31


@dataclass(frozen=True)
class Member:
    """A pupil as the model needs it; weeks are school weeks, both ends included."""

    reference: str
    kind: str
    grade: int
    classes: tuple[tuple[int, str], ...]  # (first week, class), in order
    away: tuple[int, int] | None = None

    @property
    def joined(self) -> int:
        return self.classes[0][0]

    def class_in(self, week: int) -> str:
        return [name for first, name in self.classes if first <= week][-1]


@dataclass(frozen=True)
class Score:
    """One row as a teacher would type it."""

    reference: str
    class_name: str
    week: int
    on: date
    skill: str
    status: str = "done"
    correct: int | None = None
    wrong: int | None = None
    omitted: int | None = None
    seconds: int | None = None
    setting: str = "class"


def school_scores(members: Sequence[Member], calendar: Calendar, *, seed: int = SEED) -> list[Score]:
    """All rows in order of week; the same members, weeks and seed always give the same counts."""
    scores = [score for member in members for score in _Pupil(member, calendar, seed).year()]
    return sorted(scores, key=lambda score: (score.week, score.class_name))


@dataclass
class _Skill:
    """What a pupil has behind them on one skill."""

    began: int
    seen: list[Observation] = field(default_factory=list)
    secure_on: date | None = None
    kept_on: date | None = None


class _Pupil:
    def __init__(self, member: Member, calendar: Calendar, seed: int) -> None:
        self.member, self.calendar, self.seed = member, calendar, seed
        self.random = np.random.default_rng([seed, crc32(member.reference.encode())])
        self.nature = _one_of_a_kind(KINDS[member.kind], self.random)
        self.route = _route(member, self.random)
        self.begun: dict[str, _Skill] = {}
        self.today_effect = 0.0
        self.looked_again_in = 0

    def year(self) -> Iterator[Score]:
        for week in range(self.member.joined, self.calendar.weeks + 1):
            # Drawn whether used or not, so that one week never changes the next.
            self.today_effect = self._day_effect()
            absent, at_home = self.random.random(2)
            if _class_skips(self.member.class_in(week), week, self.calendar, self.seed):
                continue
            gone = absent < ABSENT_SHARE or self._is_away(week)
            for key in self._rows(week):
                yield self._absent(key, week) if gone else self._sit(key, week, at_home=at_home)

    def _is_away(self, week: int) -> bool:
        return self.member.away is not None and self.member.away[0] <= week <= self.member.away[1]

    def _rows(self, week: int) -> list[str]:
        """The year sheet stands alone; a look at whether a secure skill is kept takes the place of the current one."""
        since = week - self.member.joined + 1
        if week in routes.YEAR_WEEKS:
            return [routes.year_sheet(self.member.grade)]
        rows = list(routes.FACTS[self.member.grade]) if since <= routes.LOOK_BACK_WEEKS else []
        rows += ["copying"] if since == routes.COPYING_WEEK else []
        again = self._to_look_at_again(week)
        if again:
            self.looked_again_in = week
            return [again]
        current = self._current(week)
        rows += [current] if current not in rows else []
        return rows + self._twin(current, week)

    def _to_look_at_again(self, week: int) -> str | None:
        if week - self.looked_again_in < 2:
            return None
        on = self.calendar.day(week)
        return next((key for key, one in self.begun.items() if _is_due(key, one, on, self.nature)), None)

    def _current(self, week: int) -> str:
        """The first skill of the route that is not secure; after long enough the teacher goes on without it."""
        long_on = [key for key, one in self.begun.items() if len(one.seen) >= routes.TEACHER_MOVES_ON_AFTER]
        passed = {key for key, one in self.begun.items() if one.secure_on}
        if self.member.kind != "stuck":
            passed |= set(long_on)
        return next((key for key in self.route if key not in passed), self.route[-1])

    def _twin(self, current: str, week: int) -> list[str]:
        """Beside a skill with regrouping its twin comes back now and then, so that the two can be compared."""
        twin = self.begun.get(ladder.step(current).twin or "")
        if twin is None or not twin.seen:
            return []
        since = self.calendar.day(week) - twin.seen[-1].on
        return [str(ladder.step(current).twin)] if since >= timedelta(weeks=routes.TWIN_EVERY) else []

    def _absent(self, key: str, week: int) -> Score:
        place = self.member.class_in(week)
        return Score(self.member.reference, place, week, self.calendar.day(week), key, status="absent")

    def _sit(self, key: str, week: int, *, at_home: float) -> Score:
        skill = self.begun.setdefault(key, _Skill(week))
        step = ladder.step(key)
        rate, accuracy = self._true(key, week - skill.began, week)
        form = _form_effect(key, self.member.grade, week, self.seed)
        accuracy = float(np.clip(accuracy + self.random.normal(0, self.nature.slips), 0.3, 1.0))
        expected = rate * step.default_seconds / 60 * math.exp(self.today_effect) * form / accuracy
        written, seconds = _within_sheet(int(self.random.poisson(expected)), key, step.default_seconds)
        wrong = int(self.random.binomial(written, 1 - accuracy))
        left_out = min(int(self.random.poisson(0.25)), _holds(key) - written)
        score = Score(
            self.member.reference,
            self.member.class_in(week),
            week,
            self.calendar.day(week),
            key,
            correct=written - wrong,
            wrong=wrong,
            omitted=left_out,
            seconds=seconds if self.nature.timed else None,
            setting="home" if at_home < HOME_SHARE and self._comes_back(week) else "class",
        )
        self._learn(skill, score)
        return score

    def _comes_back(self, week: int) -> bool:
        """In the first weeks after a long absence some checks are taken at home."""
        return self.member.away is not None and 0 < week - self.member.away[1] <= 3

    def _true(self, key: str, weeks: int, week: int) -> tuple[float, float]:
        """The true rate and accuracy of the week: what no check can see."""
        nature, step = self.nature, ladder.step(key)
        if step.kind == "copying":
            return nature.copying, 0.995
        mark = step.default_mark_rate or LENGTH_OF_YEAR_WITHOUT_MARK
        grown = weeks if nature.levels_from is None else max(min(week, nature.levels_from) - (week - weeks), 0)
        if step.kind == "year":
            # Before the first sheet a year has begun for everyone, also for those who come late.
            share = nature.year_start + nature.year_growth * min(week, nature.levels_from or week)
            return self._within_writing(share * mark), nature.care - 0.02
        if self.member.kind == "stuck" and step.regroups:
            return (STUCK_START + STUCK_GROWTH * grown) * mark, STUCK_ACCURACY
        is_fact = "facts" in key or key.startswith(("times-2-5", "times-all", "divide"))
        ceiling = FACTS_CEILING if self.member.kind == "facts" and is_fact else nature.ceiling
        # What the class looks back at was practised for a year.
        known, practised = (0.42, 6) if key in routes.FACTS[self.member.grade] else (0.0, 0)
        share = min(nature.start + known + nature.growth * grown, ceiling)
        accuracy = nature.care - (nature.care - nature.accuracy) * math.exp(-(weeks + practised) / 3)
        return self._within_writing(share * mark), accuracy

    def _within_writing(self, rate: float) -> float:
        return min(rate, WRITING_CEILING * self.nature.copying)

    def _day_effect(self) -> float:
        spread = math.sqrt(math.log(1 + self.nature.day**2))
        drawn = self.random.normal(-(spread**2) / 2, spread)
        return DAY_CARRY * self.today_effect + math.sqrt(1 - DAY_CARRY**2) * drawn

    def _learn(self, skill: _Skill, score: Score) -> None:
        """The teacher decides by the same rules as the product."""
        if score.setting != "class":
            return
        week = school_week(score.on, year_start=self.calendar.starts)
        counts = (score.correct or 0, score.wrong or 0, score.omitted or 0, score.seconds)
        skill.seen.append(Observation(score.on, week, *counts))
        mark = _mark(score.skill)
        if mark is None or skill.secure_on:
            return
        if self.nature.timed:
            skill.secure_on = score.on if stage(skill.seen, mark).stage == SECURE else None
        elif len(skill.seen) >= 4 and (pooled_accuracy(skill.seen[-3:]) or 0) >= mark.accuracy:
            skill.secure_on = score.on


def _one_of_a_kind(nature: Nature, random: np.random.Generator) -> Nature:
    """Pupils of one kind still differ."""
    start, year_start = random.normal(0, 0.06, size=2)
    growth, copying = random.lognormal(-0.03, 0.25), random.normal(0, 0.08)
    return Nature(
        **{
            **vars(nature),
            "start": nature.start + float(start),
            "growth": nature.growth * float(growth),
            "year_start": nature.year_start + float(year_start),
            "copying": nature.copying * (1 + float(copying)),
        }
    )


def _route(member: Member, random: np.random.Generator) -> tuple[str, ...]:
    place = int(random.integers(*routes.FIRST_PLACES[member.grade]))
    if member.kind == "below":
        return routes.BELOW[member.grade]
    route = routes.ROUTES[member.grade]
    # Nobody can be stuck on regrouping before they have met it: these begin at the twin.
    return route if member.kind == "stuck" else route[place:]


def _is_due(key: str, one: _Skill, on: date, nature: Nature) -> bool:
    mark = _mark(key)
    if mark is None or one.secure_on is None or one.kept_on is not None:
        return False
    answer = kept(one.seen, mark, one.secure_on, on=on, timed=nature.timed)
    one.kept_on = answer.kept_on
    return answer.status in (DUE, CHECK_AGAIN)


def _class_skips(class_name: str, week: int, calendar: Calendar, seed: int) -> bool:
    """A trip, a feast, a day without heating; the last weeks are never left out."""
    drawn = np.random.default_rng([seed, crc32(class_name.encode()), week]).random()
    return 1 < week <= calendar.weeks - 4 and drawn < CLASS_SKIPS_SHARE


def _form_effect(key: str, grade: int, week: int, seed: int) -> float:
    """One form a skill, week and grade: everybody who sits it finds it as hard."""
    random = np.random.default_rng([seed, ladder.step(key).order, grade, week])
    effect = random.lognormal(-(FORM_SPREAD**2) / 2, FORM_SPREAD)
    harder = random.uniform(0.12, 0.28) if random.random() < HARD_FORMS else 0.0
    return float(effect * (1 - harder))


def _within_sheet(written: int, key: str, seconds: int) -> tuple[int, int]:
    """Whoever reaches the end of the sheet puts the pencil down, and the time is noted."""
    if written <= _holds(key):
        return written, seconds
    return _holds(key), max(round(seconds * _holds(key) / written), 1)


@cache
def _holds(key: str) -> int:
    return timed_sheet(key, 1).digits_possible


@cache
def _mark(key: str) -> Mark | None:
    step = ladder.step(key)
    if step.kind != "skill" or step.default_mark_rate is None or step.default_accuracy is None:
        return None
    return Mark(step.default_accuracy, step.default_mark_rate, COMMON_PRACTICE, 0, date.min)
