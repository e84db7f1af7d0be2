"""The school's own working marks. A row is never changed; a newer one takes over from its date."""

import math
from datetime import date

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.reach import demand, hold_school, reach
from tracker.actions.record import Change, note_change
from tracker.actions.standings import refresh
from tracker.models import Mark, Pupil, Skill, Standing


@transaction.atomic
def set_mark(
    *,
    skill_key: str,
    accuracy: float,
    rate: float,
    source: str,
    valid_from: date,
    by: Viewer,
    on: date,
    grade: int | None = None,
    pupil_id: str | None = None,
    why: str = "",
) -> Mark:
    """Accuracy is a share, rate is in digits correct a minute; a mark for one pupil says why."""
    demand(by, "set-marks")
    school = hold_school(by)
    skill = _skill(skill_key)
    _refuse_numbers(accuracy, rate)
    if pupil_id and not why.strip():
        raise Refused(_("Say why this pupil has a mark of their own."), "why")
    pupil = reach(school.pupils.all(), pupil_id) if pupil_id else None
    mark = Mark.objects.create(
        school=school,
        skill=skill,
        grade=grade,
        pupil=pupil,
        accuracy=round(accuracy, 3),
        rate=round(rate, 2),
        source=source,
        version=_next_version(school.pk, skill),
        valid_from=valid_from,
        why=why,
        set_by=by.user,
        recorded_at=timezone.now(),
    )
    _read_anew(mark, on=on)
    note_change(_record(mark, skill, pupil), by=by, on=on)
    return mark


def _skill(key: str) -> Skill:
    skill = Skill.objects.filter(key=key, in_use=True).first()
    if skill is None:
        raise Refused(_("The ladder has no such skill."), "skill_key")
    if skill.kind == "copying":
        raise Refused(_("Copying has no mark: it only shows how fast a child writes digits."), "skill_key")
    return skill


def _refuse_numbers(accuracy: float, rate: float) -> None:
    if not 0.5 <= accuracy <= 1:
        raise Refused(_("Accuracy must lie between 50 and 100 percent."), "accuracy")
    if not math.isfinite(rate) or not 1 <= rate <= 200:
        raise Refused(_("The rate must lie between 1 and 200 digits correct a minute."), "rate")


def _next_version(school: int, skill: Skill) -> int:
    newest = Mark.objects.filter(school=school, skill=skill).aggregate(newest=Max("version"))["newest"]
    return (newest or 0) + 1


def _read_anew(mark: Mark, *, on: date) -> None:
    """Stages follow the new mark at once, unless it holds from a later day."""
    rows = Standing.objects.filter(school=mark.school_id, skill=mark.skill_id)
    if mark.pupil_id is not None:
        rows = rows.filter(pupil=mark.pupil_id)
    if mark.valid_from > on:
        rows.update(stale=True)
        return
    pairs = set(rows.values_list("pupil", "skill"))
    refresh(school=mark.school, pairs=pairs, on=on, at=mark.recorded_at)


def _record(mark: Mark, skill: Skill, pupil: Pupil | None) -> Change:
    after = {
        "skill": skill.key,
        "grade": mark.grade,
        "accuracy": float(mark.accuracy),
        "rate": float(mark.rate),
        "source": mark.source,
        "version": mark.version,
        "valid_from": mark.valid_from.isoformat(),
    }
    return Change("set-mark", "mark", mark.public_id, pupil.public_id if pupil else "", after=after, why=mark.why)
