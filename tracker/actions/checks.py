"""Plans checks: creating one makes a row still due for every pupil and skill."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access import scopes
from tracker.access.permissions import acting
from tracker.access.viewer import Viewer, current
from tracker.actions.closing import Closed, close_check, close_overdue
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.locks import hold_check
from tracker.actions.reach import demand, written
from tracker.actions.record import Change, note_change
from tracker.actions.sheets import next_form, refuse_form, sheet_for
from tracker.models import Attempt, Check, ClassGroup, Enrolment, Sheet, Skill
from tracker.queries import whole

__all__ = [
    "Closed",
    "PlannedRow",
    "add_row",
    "change_plan",
    "close_check",
    "close_overdue",
    "drop_row",
    "plan_check",
]


@dataclass(frozen=True)
class PlannedRow:
    """One pupil and skill; without a form the one of that skill, week and grade is taken."""

    pupil_id: str
    skill_key: str
    form: int | None = None
    timed: bool = True


@transaction.atomic
def plan_check(*, class_id: str, sat_on: date, rows: Sequence[PlannedRow], by: Viewer, on: date) -> Check:
    demand(by, "plan-checks")
    group = _hold_class(by, class_id)
    if not rows:
        raise Refused(_("Choose at least one pupil for the check."), "rows")
    _refuse_day(group, sat_on)
    at = timezone.now()
    check = Check.objects.create(
        school=group.school, year=group.year, class_group=group, on=sat_on, created_by=by.user, created_at=at
    )
    _make_rows(check, rows, at=at)
    after = {"class": group.public_id, "on": sat_on.isoformat(), "rows": len(rows)}
    note_change(Change("plan-check", "check", check.public_id, after=after), by=by, on=on)
    return check


@transaction.atomic
def add_row(*, check_id: str, row: PlannedRow, by: Viewer, on: date) -> Attempt:
    demand(by, "plan-checks")
    check = _hold_open(by, check_id)
    made = _make_rows(check, [row], at=timezone.now())[0]
    note_change(_row_change("add-row", made), by=by, on=on)
    return made


@transaction.atomic
def drop_row(*, check_id: str, attempt_id: str, by: Viewer, on: date) -> None:
    demand(by, "plan-checks")
    check = _hold_open(by, check_id)
    row = check.attempts.select_related("pupil", "skill", "sheet").filter(public_id=attempt_id).first()
    if row is None:
        raise OutOfScope
    if row.status != Attempt.Status.DUE:
        raise Refused(_("This row has an entry already and stays; only rows that are still due can be taken out."))
    note_change(_row_change("drop-row", row), by=by, on=on)
    row.delete()


@transaction.atomic
def change_plan(*, check_id: str, rows: Sequence[PlannedRow], by: Viewer, on: date) -> Check:
    """Makes the rows still due the given ones. Rows with an entry stay as they are, named or not."""
    demand(by, "plan-checks")
    check = _hold_open(by, check_id)
    _refuse_twice(rows)
    there = {
        (row.pupil.public_id, row.skill.key): row for row in check.attempts.select_related("pupil", "skill", "sheet")
    }
    wanted = {(row.pupil_id, row.skill_key): row for row in rows}
    gone = [
        row
        for pair, row in there.items()
        if row.status == Attempt.Status.DUE and not _as_planned(row, wanted.get(pair))
    ]
    kept = {pair for pair, row in there.items() if row not in gone}
    new = [row for pair, row in wanted.items() if pair not in kept]
    Attempt.objects.filter(pk__in=[row.pk for row in gone]).delete()
    _make_rows(check, new, at=timezone.now())
    after = {"dropped": len(gone), "added": len(new)}
    note_change(Change("change-plan", "check", check.public_id, after=after), by=by, on=on)
    return check


def _as_planned(row: Attempt, wanted: PlannedRow | None) -> bool:
    if wanted is None:
        return False
    same_form = wanted.form is None or (row.sheet is not None and row.sheet.form == wanted.form)
    return same_form and (row.seconds is not None) == (wanted.timed and not row.pupil.no_timed_checks)


def day_warning(*, class_id: str, sat_on: date, by: Viewer) -> str:
    """A sentence when the day lies in a break; a check may still be planned there."""
    group = scopes.classes(acting(by, "plan-checks")).filter(public_id=class_id).first()
    if group is None:
        raise OutOfScope
    pause = group.year.breaks.filter(starts__lte=sat_on, ends__gte=sat_on).first()
    if pause is None:
        return ""
    sentence = _("%(day)s lies in a break (%(name)s).")
    return sentence % {"day": written(sat_on), "name": pause.name}


def _hold_class(by: Viewer, class_id: str) -> ClassGroup:
    # One plan at a time for a class, so that a double click can't make two checks.
    rows = (
        scopes.classes(acting(by, "plan-checks"))
        .select_for_update(of=("self",), no_key=True)
        .select_related("school", "year")
    )
    group = rows.filter(public_id=class_id).first()
    if group is None:
        raise OutOfScope
    return group


def _hold_open(by: Viewer, check_id: str) -> Check:
    check = hold_check(scopes.checks(acting(by, "plan-checks")), check_id)
    if check.class_group is None:
        raise OutOfScope
    if check.state == Check.State.CLOSED:
        raise Refused(_("This check is closed; plan another one."))
    return check


def _refuse_day(group: ClassGroup, sat_on: date) -> None:
    year = group.year
    if not year.starts <= sat_on <= year.ends:
        sentence = _("The day must lie in the school year of the class, from %(first)s to %(last)s.")
        raise Refused(sentence % {"first": written(year.starts), "last": written(year.ends)}, "sat_on")


def _refuse_twice(rows: Iterable[PlannedRow]) -> None:
    seen = set()
    for row in rows:
        if (row.pupil_id, row.skill_key) in seen:
            raise Refused(_("A pupil can have one row a skill in a check; this one is named twice."), "rows")
        seen.add((row.pupil_id, row.skill_key))


def _make_rows(check: Check, rows: Sequence[PlannedRow], *, at: datetime) -> list[Attempt]:
    _refuse_twice(rows)
    places = _places(check, {row.pupil_id for row in rows})
    skills = _skills(check, {row.skill_key for row in rows})
    _refuse_same_day(check, rows, places=places, skills=skills)
    forms = _Forms(check, at)
    phases = whole.phases(check.school_id, [place.pupil_id for place in places.values()], on=check.on)
    made = []
    for row in rows:
        place, skill = places[row.pupil_id], skills[row.skill_key]
        sheet = forms.sheet(skill, place.grade, row.form)
        made.append(
            Attempt(
                school=check.school,
                check_sat=check,
                pupil=place.pupil,
                skill=skill,
                sheet=sheet,
                class_group=check.class_group,
                grade=place.grade,
                phase=phases.get((place.pupil_id, skill.pk)),
                taken_on=check.on,
                mode=place.pupil.mode,
                adjustments=place.pupil.adjustments,
                # A row still due with seconds is a timed one; without, it stays untimed.
                seconds=sheet.seconds if row.timed and not place.pupil.no_timed_checks else None,
            )
        )
    return Attempt.objects.bulk_create(made)


def _places(check: Check, pupil_ids: set[str]) -> dict[str, Enrolment]:
    """Enrolments in the class on the day, by the pupil's public id; anybody else is out of reach."""
    rows = Enrolment.objects.filter(current(check.on), class_group=check.class_group, pupil__public_id__in=pupil_ids)
    found = {row.pupil.public_id: row for row in rows.select_related("pupil").order_by("starts")}
    if pupil_ids - found.keys():
        raise OutOfScope
    return found


def _skills(check: Check, keys: set[str]) -> dict[str, Skill]:
    off = set(check.school.skills_off)
    found = {skill.key: skill for skill in Skill.objects.filter(key__in=keys - off, in_use=True)}
    for key in sorted(keys - found.keys()):
        raise Refused(_("This school has no skill “%(key)s”; choose one from the list.") % {"key": key}, "skill_key")
    return found


def _refuse_same_day(
    check: Check, rows: Sequence[PlannedRow], *, places: dict[str, Enrolment], skills: dict[str, Skill]
) -> None:
    """One attempt a pupil, skill and day: what looks like a second check is a second click."""
    same = Attempt.objects.filter(
        check_sat__on=check.on,
        pupil__in=[place.pupil_id for place in places.values()],
        skill__in=list(skills.values()),
    ).exclude(status=Attempt.Status.NOT_GIVEN)
    taken = {(row.pupil_id, row.skill_id): row for row in same.select_related("pupil")}
    for planned in rows:
        row = taken.get((places[planned.pupil_id].pupil_id, skills[planned.skill_key].pk))
        if row is not None:
            sentence = _("%(pupil)s already has a check of this skill on %(day)s.")
            raise Refused(sentence % {"pupil": row.pupil, "day": written(check.on)}, "rows")


class _Forms:
    """The sheets of one check, each looked up once."""

    def __init__(self, check: Check, at: datetime) -> None:
        self.check, self.at = check, at
        self.chosen: dict[tuple[int, int | None], int] = {}
        self.made: dict[tuple[int, int], Sheet] = {}

    def sheet(self, skill: Skill, grade: int, form: int | None) -> Sheet:
        if form is None:
            form = self._usual(skill, grade)
        else:
            refuse_form(form)
        if (skill.pk, form) not in self.made:
            self.made[skill.pk, form] = sheet_for(school=self.check.school, skill_key=skill.key, form=form, at=self.at)
        return self.made[skill.pk, form]

    def _usual(self, skill: Skill, grade: int) -> int:
        if (skill.pk, grade) not in self.chosen:
            self.chosen[skill.pk, grade] = next_form(
                school=self.check.school, skill=skill, grade=grade, on=self.check.on
            )
        return self.chosen[skill.pk, grade]


def _row_change(action: str, row: Attempt) -> Change:
    form = row.sheet.form if row.sheet else None
    return Change(action, "attempt", row.public_id, row.pupil.public_id, after={"skill": row.skill.key, "form": form})
