"""One skill of one child in words and as a chart."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tracker.charts.description import Measure, SkillChart
from tracker.charts.wording import Words
from tracker.measures import keeping
from tracker.measures.marks import Mark
from tracker.measures.observations import Observation
from tracker.models import Attempt
from tracker.progress.evidence import day
from tracker.progress.gradebook import Cell, cell
from tracker.progress.pupil_chart import Series, growth_sentence, skill_chart
from tracker.progress.pupil_record import Record, Sitting
from tracker.progress.pupil_words import mark_words, missing_words, number, share, source_words, when
from tracker.progress.rows import doubt_of
from tracker.progress.vocabulary import skill_label, stage_label
from tracker.queries.pupils import OwnStand, SatRow

Link = Callable[[str, str], str]  # class and check by public id -> address
SAT = (Attempt.Status.DONE, Attempt.Status.STOPPED)


@dataclass(frozen=True)
class CheckAgain:
    """A reason to look at one entry or check again before it is believed."""

    sentence: str
    url: str | None = None


@dataclass(frozen=True)
class SkillStory:
    key: str
    label: str
    cell: Cell
    stage: str
    unit: str
    last: str
    missing: tuple[str, ...]
    reached: str
    mark: str
    source: str
    growth: str
    notes: tuple[str, ...]
    check_again: tuple[CheckAgain, ...]
    chart: SkillChart | None


def skill_story(record: Record, standing: OwnStand, *, link: Link, words: Words) -> SkillStory:
    told = _Told(record, standing, link)
    mark, shown = told.mark, cell(standing.stand)
    timed = not record.pupil.no_timed_checks
    return SkillStory(
        key=standing.key,
        label=skill_label(standing.key, record.school),
        cell=shown,
        stage=stage_label(standing.stage or "few"),
        unit="" if shown.number.strip("–").endswith("%") else _("digits correct a minute"),
        last=told.last_sentence(),
        missing=missing_words(standing, rules=record.rules),
        reached=reached_words(standing, record),
        mark=mark_words(mark, timed=timed),
        source=source_words(mark) if mark else "",
        growth=growth_sentence(told.series) if told.series else "",
        notes=tuple(told.notes()),
        check_again=tuple(told.check_again()),
        chart=skill_chart(told.series, words=words) if told.series else None,
    )


def reached_words(standing: OwnStand, record: Record) -> str:
    """Since when the skill is secure and whether it was kept; empty before."""
    if standing.secure_on is None:
        return ""
    words = {"secure": when(standing.secure_on, today=record.today)}
    if standing.kept_on is None:
        return _("Secure since %(secure)s") % words
    return _("Secure since %(secure)s, kept %(kept)s") % {**words, "kept": when(standing.kept_on, today=record.today)}


@dataclass(frozen=True)
class _Told:
    record: Record
    standing: OwnStand
    address: Link

    @cached_property
    def rows(self) -> list[Sitting]:
        mine = (one for one in self.record.rows if one.row.skill_id == self.standing.skill_id)
        return [one for one in mine if one.seen.status in SAT]

    @cached_property
    def counted(self) -> list[Sitting]:
        return [one for one in self.rows if one.is_counted]

    @cached_property
    def mark(self) -> Mark | None:
        return self.record.mark_on(self.standing, self.record.today)

    @property
    def measure(self) -> Measure:
        """Accuracy while the method is learnt, for a child without timed checks, and where nothing was timed."""
        slow = self.standing.stage == "learning" or self.record.pupil.no_timed_checks
        return "accuracy" if slow or all(one.seen.rate is None for one in self.counted) else "rate"

    @cached_property
    def series(self) -> Series | None:
        """None where the school has no year yet, or nothing was written at school."""
        year = self.record.year_of(self.counted[-1].seen.on) if self.counted else None
        if year is None:
            return None
        record, standing = self.record, self.standing
        return Series(
            title=skill_label(standing.key, record.school),
            rows=self.rows,
            year=year,
            today=record.today,
            week_start=record.school.week_start,
            measure=self.measure,
            mark_on=lambda on: record.mark_on(standing, on),
            mark_days=[mark.valid_from for mark in record.marks if mark.skill_id == standing.skill_id],
            phases=[phase for phase in record.phases if phase.skill_id == standing.skill_id],
            breaks=record.breaks,
            link=self.link,
        )

    def link(self, row: SatRow) -> str | None:
        ids = self.record.link(row)
        return self.address(*ids) if ids else None

    def last_sentence(self) -> str:
        if not self.counted:
            return ""
        seen = self.counted[-1].seen
        words = {"day": when(seen.on, today=self.record.today), "result": result_words(seen, measure=self.measure)}
        text = _("Last check on %(day)s: %(result)s.") % words
        pooled = self.standing.stand.pooled_accuracy
        if pooled is None or len(self.counted) < 2:
            return text
        size = min(self.record.rules.pool, len(self.counted))
        more = ngettext(
            "The last one: %(share)s right.", "The last %(count)s checks together: %(share)s right.", size
        ) % {"count": size, "share": share(pooled)}
        return _("%(first)s %(second)s") % {"first": text, "second": more}

    def notes(self) -> Iterable[str]:
        yield from self._away()
        yield from self._other_ways()
        stopped = sum(one.seen.status == Attempt.Status.STOPPED for one in self.counted)
        if stopped:
            yield ngettext(
                "%(count)s check was stopped; it counts for accuracy only.",
                "%(count)s checks were stopped; they count for accuracy only.",
                stopped,
            ) % {"count": stopped}
        earlier = self.series.earlier if self.series else 0
        if earlier:
            yield ngettext(
                "%(count)s check of earlier school years is not drawn.",
                "%(count)s checks of earlier school years are not drawn.",
                earlier,
            ) % {"count": earlier}

    def _away(self) -> Iterable[str]:
        away = [one.seen for one in self.rows if one.seen.place == "away"]
        if away:
            text = ngettext(
                "%(count)s check away from school is not counted here; on %(day)s: %(result)s.",
                "%(count)s checks away from school are not counted here; the last on %(day)s: %(result)s.",
                len(away),
            )
            last = away[-1]
            words = {
                "day": when(last.on, today=self.record.today),
                "result": result_words(last, measure=self.measure),
            }
            yield text % {"count": len(away), **words}

    def _other_ways(self) -> Iterable[str]:
        other = [one.seen for one in self.rows if one.seen.mode != "written" and one.seen.place == "school"]
        if other:
            ways = sorted({str(Attempt.Mode(seen.mode).label) for seen in other})
            text = ngettext(
                "%(count)s check given another way (%(ways)s) is not counted here.",
                "%(count)s checks given another way (%(ways)s) are not counted here.",
                len(other),
            )
            yield text % {"count": len(other), "ways": ", ".join(ways)}

    def check_again(self) -> Iterable[CheckAgain]:
        if self.counted and not self.counted[-1].row.confirmed:
            yield from self._doubt(self.counted[-1])
        yield from self._kept()

    def _doubt(self, last: Sitting) -> Iterable[CheckAgain]:
        found = doubt_of(
            last.seen,
            [one.seen for one in self.counted[:-1]],
            possible=last.row.digits_possible,
            rules=self.record.rules,
            history=True,
        )
        if found:
            words = {"day": day(last.seen.on), "sentence": found.sentence}
            yield CheckAgain(_("%(day)s: %(sentence)s") % words, self.link(last.row))

    def _kept(self) -> Iterable[CheckAgain]:
        """A skill that was secure: one weak check asks for a second, and only that one tells."""
        secure_on, mark = self.standing.secure_on, self.mark
        if secure_on is None or mark is None:
            return
        answer = keeping.kept(
            [one.seen for one in self.counted],
            mark,
            secure_on,
            on=self.record.today,
            rules=self.record.rules,
            breaks=[(one.starts, one.ends) for one in self.record.breaks],
            timed=not self.record.pupil.no_timed_checks,
        )
        if answer.status == keeping.CHECK_AGAIN:
            text = _("Below the mark on %(day)s after being secure. One check says little: a second tells.")
            yield CheckAgain(text % {"day": when(answer.failed_on[-1], today=self.record.today)})
        if answer.status == keeping.DUE:
            yield CheckAgain(_("Secure for four weeks or more: a check shows whether it is kept."))


def result_words(seen: Observation, *, measure: Measure) -> str:
    """What a check showed, in short: accuracy, and the rate where it is looked at."""
    rate, right = seen.rate, seen.accuracy
    shown = share(right or 0.0)
    if rate is not None and measure == "rate":
        return _("%(rate)s a minute, %(share)s right") % {"rate": number(rate), "share": shown}
    return _("nothing written") if right is None else _("%(share)s right") % {"share": shown}
