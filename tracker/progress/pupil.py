"""The whole story of one child: reasons to look, what comes next, one skill with its chart, and the ladder."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.http import Http404
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tracker.access.viewer import Viewer
from tracker.charts.wording import Words
from tracker.measures import ladder
from tracker.measures.flags import no_recent_check, suggest_untimed
from tracker.measures.marks import COMMON_PRACTICE
from tracker.models import ClassGroup, Flag, Pupil, School
from tracker.progress.by_chance import class_sentence
from tracker.progress.evidence import has_sentence, sentence
from tracker.progress.gradebook import Cell, cell
from tracker.progress.plan import propose
from tracker.progress.pupil_record import Record, record
from tracker.progress.pupil_skill import Link, SkillStory, reached_words, skill_story
from tracker.progress.pupil_words import mark_words, missing_words, source_words, when
from tracker.progress.vocabulary import flag_label, grade_label, skill_label
from tracker.queries.pupils import OwnStand


@dataclass(frozen=True)
class FlagLine:
    flag_id: str
    kind: str
    label: str
    skill: str
    skill_key: str
    why: str
    raised_on: date | None
    seen_by: str
    seen_on: date | None


@dataclass(frozen=True)
class LadderRow:
    key: str
    label: str
    cell: Cell
    last: str
    mark: str
    source: str
    words: str
    secure: bool
    chosen: bool


@dataclass(frozen=True)
class Next:
    """What comes next, and what is to be thought of first."""

    skill: str
    why: str
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class PupilProgress:
    pupil: Pupil
    group: ClassGroup | None
    class_id: str
    class_name: str
    grade: str
    since: str
    about: tuple[str, ...]
    flags: tuple[FlagLine, ...]
    by_chance: str
    next: Next | None
    story: SkillStory | None
    ladder: tuple[LadderRow, ...]
    without_record: tuple[str, ...]


def pupil_progress(viewer: Viewer, pupil: Pupil, *, skill: str, link: Link, words: Words) -> PupilProgress:
    """`pupil` comes from a scoped query; `skill` chooses the chart, empty for the skill the child is on; `link` gives
    the address of a check. A skill that the ladder lacks is a miss."""
    read = record(viewer, pupil)
    if skill and skill not in {one.key for one in ladder.steps()}:
        raise Http404
    chosen = read.standing(skill or read.current_key)
    place = read.place
    return PupilProgress(
        pupil=pupil,
        group=place.class_group if place else None,
        class_id=read.open_classes.get(place.class_group_id, "") if place else "",
        class_name=place.class_group.name if place else "",
        grade=grade_label(place.grade, read.school) if place else "",
        since=_since(read),
        about=tuple(_about(pupil)),
        flags=tuple(_flag(one, read.school) for one in read.flags),
        by_chance=class_sentence(viewer, place.class_group) if place and read.flags else "",
        next=_next(read),
        story=skill_story(read, chosen, link=link, words=words) if chosen else None,
        ladder=tuple(_row(one, read, chosen) for one in read.on_record),
        without_record=tuple(_without(read)),
    )


def _since(read: Record) -> str:
    if read.pupil.left_on and read.pupil.left_on < read.today:
        return _("left on %(day)s") % {"day": when(read.pupil.left_on, today=read.today)}
    if read.place is None:
        return _("in no class today")
    return _("in this class since %(day)s") % {"day": when(read.place.starts, today=read.today)}


def _about(pupil: Pupil) -> Iterable[str]:
    """How the child works, where it differs from written, timed checks."""
    if pupil.no_timed_checks:
        yield _("No timed checks: accuracy and written work carry the stage.")
    if pupil.adjustments:
        yield _("Adjustments: %(text)s") % {"text": pupil.adjustments}
    if pupil.written_method:
        yield _("Written method learnt before: %(text)s") % {"text": pupil.written_method}


def _flag(flag: Flag, school: School) -> FlagLine:
    return FlagLine(
        flag_id=flag.public_id,
        kind=flag.kind,
        label=flag_label(flag.kind),
        skill=skill_label(flag.skill.key, school),
        skill_key=flag.skill.key,
        why=sentence(flag, school),
        raised_on=flag.raised_on if has_sentence(flag) else None,
        seen_by=flag.seen_by.name if flag.seen_by else "",
        seen_on=flag.seen_at.astimezone(ZoneInfo(school.timezone)).date() if flag.seen_at else None,
    )


def _next(read: Record) -> Next | None:
    """None for a child without a class today: nobody plans a check for them."""
    if read.place is None:
        return None
    found = propose(
        [one.stand for one in read.standings],
        grade=read.place.grade,
        school=read.school,
        on=read.today,
        rules=read.rules,
    )
    label = skill_label(found.skill_key, read.school) if found.skill_key else ""
    return Next(label, found.why, tuple(_remarks(read)))


def _remarks(read: Record) -> Iterable[str]:
    if suggest_untimed((one.seen for one in read.rows), rules=read.rules):
        yield ngettext(
            "The last check was stopped: talk with the child, and give an untimed sheet next.",
            "The last %(count)s checks were stopped: talk with the child, and give an untimed sheet next.",
            read.rules.stopped_in_row,
        ) % {"count": read.rules.stopped_in_row}
    standing = read.standing(read.current_key)
    found = no_recent_check(
        standing.stand.last_on if standing else None,
        on=read.today,
        breaks=[(one.starts, one.ends) for one in read.breaks],
        week_start=read.school.week_start,
        rules=read.rules,
    )
    if found:
        text = ngettext(
            "No check on this skill for %(weeks)s school week.",
            "No check on this skill for %(weeks)s school weeks.",
            found.weeks,
        )
        yield text % {"weeks": found.weeks}


def _row(standing: OwnStand, read: Record, chosen: OwnStand | None) -> LadderRow:
    mark, last_on = read.mark_on(standing, read.today), standing.stand.last_on
    reached = reached_words(standing, read)
    missing = missing_words(standing, rules=read.rules)
    return LadderRow(
        key=standing.key,
        label=skill_label(standing.key, read.school),
        cell=cell(standing.stand) if standing.stand.checks else Cell("", ""),
        last=when(last_on, today=read.today) if last_on else "",
        mark=mark_words(mark, timed=not read.pupil.no_timed_checks),
        source=source_words(mark) if mark and mark.source != COMMON_PRACTICE else "",
        words=reached or _not_yet(standing, missing, has_mark=mark is not None),
        secure=bool(reached),
        chosen=chosen is not None and standing.skill_id == chosen.skill_id,
    )


def _not_yet(standing: OwnStand, missing: Iterable[str], *, has_mark: bool) -> str:
    if not standing.stand.checks:
        return _("not checked in writing at school yet")
    return "; ".join(missing) if has_mark else _("no mark, so it never becomes secure")


def _without(read: Record) -> Iterable[str]:
    """Skills that the school uses and the child has no record on, in ladder order."""
    known = {one.key for one in read.on_record} | set(read.school.skills_off)
    return (skill_label(one.key, read.school) for one in ladder.steps() if one.key not in known)
