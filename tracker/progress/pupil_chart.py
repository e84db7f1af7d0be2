"""The chart of one pupil on one skill: what was written at school, the mark over time, phases and breaks."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from django.utils import formats
from django.utils.translation import gettext as _

from tracker.charts.description import Change, Measure, Point, SkillChart, Span, Step
from tracker.charts.wording import Words
from tracker.measures.growth import theil_sen
from tracker.measures.marks import Mark
from tracker.measures.observations import school_week, school_weeks_between
from tracker.models import Attempt, Break, Phase, SchoolYear
from tracker.progress.evidence import day
from tracker.progress.pupil_record import Sitting
from tracker.progress.pupil_words import growth_words
from tracker.queries.pupils import SatRow

# A chart of one or two weeks would be all edge.
FEWEST_WEEKS = 9


@dataclass(frozen=True)
class Series:
    """One pupil on one skill, oldest attempt first, with what holds around it."""

    title: str
    rows: Sequence[Sitting]
    year: SchoolYear
    today: date
    week_start: int
    measure: Measure
    mark_on: Callable[[date], Mark | None]
    mark_days: Sequence[date]
    phases: Sequence[Phase]
    breaks: Sequence[Break]
    link: Callable[[SatRow], str | None]

    @cached_property
    def drawn(self) -> list[Sitting]:
        """Written at school in the chart's year, with something to show."""
        return [one for one in self.rows if one.is_counted and self.year.starts <= one.seen.on <= self.year.ends]

    @property
    def earlier(self) -> int:
        """Checks of the years before, which the chart leaves out."""
        return sum(1 for one in self.rows if one.is_counted and one.seen.on < self.year.starts)

    def week(self, on: date) -> int:
        return school_week(on, year_start=self.year.starts, week_start=self.week_start)

    def monday(self, week: int) -> date:
        """The first day of a week of the year."""
        first = self.year.starts - timedelta(days=(self.year.starts.weekday() - self.week_start) % 7)
        return first + timedelta(weeks=week - 1)

    @cached_property
    def weeks(self) -> tuple[int, int]:
        """From just before the first check to today's week, never beyond the year."""
        seen = [self.week(one.seen.on) for one in self.drawn]
        now = min(max(self.week(self.today), 1), self.week(self.year.ends))
        last = max([now, *seen])
        first = max(min(seen, default=last) - 1, 1)
        return min(first, max(last - FEWEST_WEEKS + 1, 1)), max(last, FEWEST_WEEKS)


def skill_chart(series: Series, *, words: Words) -> SkillChart:
    first, last = series.weeks
    return SkillChart(
        title=series.title,
        first_week=first,
        last_week=last,
        words=words,
        points=tuple(_point(one, series) for one in series.drawn),
        start_text=formats.date_format(series.monday(first), "j M Y"),
        end_text=formats.date_format(series.monday(last) + timedelta(days=4), "j M Y"),
        mark=tuple(_steps(series)),
        changes=tuple(_changes(series)),
        breaks=tuple(_breaks(series)),
        measure=series.measure,
    )


def _point(one: Sitting, series: Series) -> Point:
    seen = one.seen
    return Point(
        week=series.week(seen.on),
        date=seen.on.isoformat(),
        label=one.row.sheet_code or _("Check"),
        rate=seen.rate,
        wrong=seen.wrong / seen.minutes if seen.rate is not None and seen.minutes else None,
        accuracy=seen.accuracy,
        kind="untimed" if seen.status == Attempt.Status.DONE and seen.seconds is None else "timed",
        url=series.link(one.row),
        date_text=day(seen.on),
    )


def _steps(series: Series) -> Iterable[Step]:
    """The mark at the beginning of the chart, and wherever another one takes over."""
    first, last = series.weeks
    start, end = series.monday(first), series.monday(last) + timedelta(days=6)
    held = None
    for on in sorted({start, *(on for on in series.mark_days if start < on <= end)}):
        value = _value(series.mark_on(on), series.measure)
        if value is not None and value != held:
            yield Step(max(series.week(on), first), value)
            held = value


def _value(mark: Mark | None, measure: str) -> float | None:
    if mark is None:
        return None
    return mark.accuracy if measure == "accuracy" else mark.rate


def _changes(series: Series) -> Iterable[Change]:
    first, last = series.weeks
    for phase in series.phases:
        week = series.week(phase.began_on)
        if first < week <= last:
            yield Change(week, phase.label or str(Phase.Reason(phase.reason).label))


def _breaks(series: Series) -> Iterable[Span]:
    """Whole weeks without school; a single free day is no break in the chart."""
    first, last = series.weeks
    for one in series.breaks:
        near = range(max(series.week(one.starts), first), min(series.week(one.ends), last) + 1)
        free = [week for week in near if _is_free(series, week, one)]
        if free:
            yield Span(free[0], free[-1], one.name)


def _is_free(series: Series, week: int, one: Break) -> bool:
    begins = series.monday(week)
    days = [(one.starts, one.ends)]
    before = begins - timedelta(weeks=1)
    return school_weeks_between(before, begins, breaks=days, week_start=series.week_start) == 0


def growth_sentence(series: Series) -> str:
    """Growth of the phase that goes on now: a change of teaching starts a line of its own."""
    began = max((phase.began_on for phase in series.phases if phase.began_on <= series.today), default=date.min)
    since = [one.seen for one in series.drawn if one.seen.on >= began]
    values = [(seen.on, seen.accuracy if series.measure == "accuracy" else seen.rate) for seen in since]
    pairs = [(series.week(on), value) for on, value in values if value is not None]
    slope = theil_sen([pair[0] for pair in pairs], [pair[1] for pair in pairs])
    said = growth_words(slope, checks=len(pairs), measure=series.measure)
    if not series.drawn or began <= series.drawn[0].seen.on:
        return said
    return _("%(sentence)s Counted from the change on %(day)s.") % {"sentence": said, "day": day(began)}
