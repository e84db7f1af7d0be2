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
from tracker.management.demo.effects import class_skips, form_effect, holds, within_sheet
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
from tracker.measures.stages import SECURE, stage

SEED = 20_260_907
# The share of checks missed by chance, and for how long checks are taken at home after a long absence.
ABSENT_SHARE, HOME_WEEKS = 0.035, 2
# A good or bad day leaves a little of itself to the next check.
DAY_CARRY = 0.2
LEFT_OUT, COPYING_ACCURACY = 0.25, 0.995
# What the class looks back at was practised for a year: so much quicker, and as careful as after so many weeks.
KNOWN_SHARE, PRACTISED_WEEKS = 0.5, 6
LENGTH_OF_YEAR_WITHOUT_MARK = 31


@dataclass(frozen=True)
class Member:
    """A pupil as the model needs it; weeks are school weeks, both ends included."""

    reference: str
    kind: str
    grade: int
    classes: tuple[tuple[int, str], ...]  # (first week, class), in order
    away: tuple[int, int] | None = None
    regroups_from: int = 1  # for those stuck: when the class came to regrouping

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
        self.had_another = False

    def year(self) -> Iterator[Score]:
        for week in range(self.member.joined, self.calendar.weeks + 1):
            # Drawn whether used or not, so that one week never changes the next.
            self.today_effect = self._day_effect()
            absent = self.random.random()
            if class_skips(self.member.class_in(week), week, weeks=self.calendar.weeks, seed=self.seed):
                continue
            gone = absent < ABSENT_SHARE or self._is_away(week)
            for key in self._rows(week):
                yield self._absent(key, week) if gone else self._sit(key, week)

    def _is_away(self, week: int) -> bool:
        return self.member.away is not None and self.member.away[0] <= week <= self.member.away[1]

    def _rows(self, week: int) -> list[str]:
        """The year sheet stands alone; a look at whether a secure skill is kept takes the place of the current one."""
        since = week - self.member.joined + 1
        if week in routes.YEAR_WEEKS:
            self.had_another = True
            return [routes.year_sheet(self.member.grade)]
        rows = list(routes.FACTS[self.member.grade]) if since <= routes.LOOK_BACK_WEEKS else []
        rows += ["copying"] if since == routes.COPYING_WEEK else []
        current = self._current(week)
        again = self._to_look_at_again(week, current)
        if again:
            self.had_another = True
            return [again]
        self.had_another = False
        rows += [current] if current not in rows else []
        return rows + self._twin(current, week)

    def _to_look_at_again(self, week: int, current: str) -> str | None:
        """Never twice running, never around a year sheet, and never while the current skill is new."""
        begun = self.begun.get(current)
        if self.had_another or week + 1 in routes.YEAR_WEEKS or begun is None or len(begun.seen) < routes.NEW_FOR:
            return None
        on = self.calendar.day(week)
        return next((key for key, one in self.begun.items() if _is_due(key, one, on=on, timed=self.nature.timed)), None)

    def _current(self, week: int) -> str:
        """The first skill of the route that is not secure; after long enough the teacher goes on without it."""
        long_on = [key for key, one in self.begun.items() if len(one.seen) >= routes.TEACHER_MOVES_ON_AFTER]
        passed = {key for key, one in self.begun.items() if one.secure_on}.union(long_on)
        # Regrouping comes to those stuck on it when the class comes to it, and then stays.
        is_stuck = self.member.kind == "stuck"
        if is_stuck and week >= self.member.regroups_from:
            return self.route[-1]
        route = self.route[:-1] if is_stuck else self.route
        return next((key for key in route if key not in passed), route[-1])

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

    def _sit(self, key: str, week: int) -> Score:
        skill = self.begun.setdefault(key, _Skill(week))
        step = ladder.step(key)
        rate, accuracy = self._true(key, week - skill.began, week)
        form = form_effect(key, grade=self.member.grade, week=week, seed=self.seed)
        accuracy = float(np.clip(accuracy + self.random.normal(0, self.nature.slips), 0.3, 1.0))
        expected = rate * step.default_seconds / 60 * math.exp(self.today_effect) * form / accuracy
        written, seconds = within_sheet(int(self.random.poisson(expected)), key, step.default_seconds)
        wrong = int(self.random.binomial(written, 1 - accuracy))
        left_out = min(int(self.random.poisson(LEFT_OUT)), holds(key) - written)
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
            setting="home" if self._comes_back(week) else "class",
        )
        self._learn(skill, score)
        return score

    def _comes_back(self, week: int) -> bool:
        """The first weeks after a long absence the checks are taken at home."""
        return self.member.away is not None and 0 < week - self.member.away[1] <= HOME_WEEKS

    def _true(self, key: str, weeks: int, week: int) -> tuple[float, float]:
        """The true rate and accuracy of the week: what no check can see."""
        nature, step = self.nature, ladder.step(key)
        if step.kind == "copying":
            return nature.copying, COPYING_ACCURACY
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
        known, practised = (KNOWN_SHARE, PRACTISED_WEEKS) if key in routes.FACTS[self.member.grade] else (0.0, 0)
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
    if member.kind == "stuck":
        return routes.STUCK[member.grade]
    return routes.ROUTES[member.grade][place:]


def _is_due(key: str, one: _Skill, *, on: date, timed: bool) -> bool:
    mark = _mark(key)
    if mark is None or one.secure_on is None or one.kept_on is not None:
        return False
    answer = kept(one.seen, mark, one.secure_on, on=on, timed=timed)
    one.kept_on = answer.kept_on
    return answer.status in (DUE, CHECK_AGAIN)


@cache
def _mark(key: str) -> Mark | None:
    step = ladder.step(key)
    if step.kind != "skill" or step.default_mark_rate is None or step.default_accuracy is None:
        return None
    return Mark(step.default_accuracy, step.default_mark_rate, COMMON_PRACTICE, 0, date.min)
