"""Flags that the calendar raises: a pupil's current skill has gone unchecked for too long."""

from collections.abc import Mapping, Sequence
from datetime import date

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import current
from tracker.actions.closing import flag_change
from tracker.actions.current_skills import CurrentSkill, current_skills, last_sat
from tracker.actions.record import note_changes
from tracker.measures.evidence import NoRecentCheck
from tracker.measures.flags import may_rise_again, no_recent_check
from tracker.measures.rules import MEASURES_VERSION
from tracker.models import Enrolment, Flag, Pupil, School
from tracker.progress.observations import observations_from
from tracker.progress.rules import rules_of
from tracker.queries import whole
from tracker.queries.whole import Pair, Sat

PUPILS_AT_A_TIME = 200
STANDING = (Flag.State.OPEN, Flag.State.ACKNOWLEDGED)


def raise_clock_flags(*, school: School, on: date) -> tuple[int, int]:
    """Raises "no recent check" and ends it where its ground is gone; gives how many of each. Running it again
    on the same day changes nothing."""
    here = Enrolment.objects.filter(current(on), school=school, pupil__left_on__isnull=True, pupil__joined_on__lte=on)
    places = {place.pupil_id: place for place in here.select_related("class_group__year").order_by("starts", "pk")}
    pupils = sorted(places)
    raised = ended = 0
    for first in range(0, len(pupils), PUPILS_AT_A_TIME):
        some = {pupil: places[pupil] for pupil in pupils[first : first + PUPILS_AT_A_TIME]}
        made, gone = _clock(school, some, on=on)
        raised, ended = raised + made, ended + gone
    return raised, ended


@transaction.atomic
def _clock(school: School, places: Mapping[int, Enrolment], *, on: date) -> tuple[int, int]:
    pupils = list(Pupil.objects.select_for_update(no_key=True).filter(pk__in=places).order_by("pk"))
    histories = whole.pupils_histories(school.pk, list(places))
    flags = whole.flags_of(school.pk, list(places), [Flag.Kind.NO_CHECK])
    now = current_skills(school, places, histories)
    ended = _end_checked([flag for flag in flags if flag.state in STANDING], histories, now)
    made = _new(now, flags, histories=histories, school=school, on=on)
    named = {pupil.pk: pupil for pupil in pupils}
    for flag in made:
        flag.pupil = named[flag.pupil_id]
    Flag.objects.bulk_create(made)
    changes = [
        *(flag_change("end-flag", flag, why=flag.ended_why) for flag in ended),
        *(flag_change("raise-flag", flag) for flag in made),
    ]
    note_changes(changes, by=None, on=on, school=school)
    return len(made), len(ended)


def _end_checked(
    standing: Sequence[Flag], histories: Mapping[Pair, Sequence[Sat]], now: Sequence[CurrentSkill]
) -> list[Flag]:
    current_of = {one.pupil_id: one for one in now}
    ended = []
    for flag in standing:
        why = _no_longer(flag, histories, current_of.get(flag.pupil_id))
        if why:
            flag.state, flag.ended_at, flag.ended_why = Flag.State.CLOSED, timezone.now(), why
            ended.append(flag)
    Flag.objects.bulk_update(ended, ["state", "ended_at", "ended_why"])
    return ended


def _no_longer(flag: Flag, histories: Mapping[Pair, Sequence[Sat]], now: CurrentSkill | None) -> str:
    """A check of the skill after the day that the flag counts from takes its ground away, and so does one of another
    skill that the pupil is on since."""
    since = date.fromisoformat(flag.evidence["last_on"])
    last = last_sat(histories.get((flag.pupil_id, flag.skill_id), ()))
    if last is not None and last > since:
        return _("There has been a check since.")
    if now is not None and now.skill.pk != flag.skill_id and now.last_on is not None and now.last_on > since:
        return _("The pupil has been checked on another skill since, and is on that one now.")
    return ""


def _new(
    now: Sequence[CurrentSkill],
    flags: Sequence[Flag],
    *,
    histories: Mapping[Pair, Sequence[Sat]],
    school: School,
    on: date,
) -> list[Flag]:
    rules, breaks = rules_of(school), whole.breaks(school.pk)
    made = []
    for one in now:
        found = no_recent_check(
            one.last_on, on=on, breaks=breaks, current_since=one.since, week_start=school.week_start, rules=rules
        )
        seen = observations_from(histories.get((one.pupil_id, one.skill.pk), ()))
        before = [flag for flag in flags if (flag.pupil_id, flag.skill_id) == (one.pupil_id, one.skill.pk)]
        stands = any(flag.state in STANDING for flag in before)
        last = max((flag.raised_on for flag in before), default=None)
        if found and not stands and may_rise_again(last, seen, rules=rules):
            made.append(_flag(school, one, found, checks=len(seen), on=on))
    return made


def _flag(school: School, one: CurrentSkill, found: NoRecentCheck, *, checks: int, on: date) -> Flag:
    return Flag(
        school=school,
        pupil_id=one.pupil_id,
        skill=one.skill,
        kind=Flag.Kind.NO_CHECK,
        raised_on=on,
        raised_at=timezone.now(),
        evidence={**found.as_dict(), "checked": found.last_on == one.last_on},
        attempts_then=checks,
        measures_version=MEASURES_VERSION,
    )
