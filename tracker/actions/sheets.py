"""Makes and finds printed sheets; a sheet once made is the same for ever."""

from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from tracker.actions.errors import Refused
from tracker.measures import ladder
from tracker.measures.problems import Problem
from tracker.measures.sheets import GENERATOR_VERSION, TimedSheet, timed_sheet
from tracker.models import Attempt, Mark, School, Sheet, SheetItem, Skill

# After so many forms the first comes round again: nobody remembers items for that long.
FORMS = 10


def sheet_for(*, school: School, skill_key: str, form: int, at: datetime) -> Sheet:
    """Gets the school's form of the skill's timed sheet, or makes it with its items."""
    skill = Skill.objects.get(key=skill_key)
    known = {"school": school, "kind": _kind(skill), "skill": skill, "form": form, "generator": GENERATOR_VERSION}
    return Sheet.objects.filter(**known).first() or _make(school, skill, form, known=known, at=at)


@transaction.atomic
def _make(school: School, skill: Skill, form: int, *, known: dict[str, Any], at: datetime) -> Sheet:
    """Sheet and items in one transaction, so that who asks at the same time never sees one without the other."""
    made = timed_sheet(skill.key, form, mark_rate=_highest_mark(school, skill, at.date()))
    sheet, is_new = Sheet.objects.get_or_create(
        **known,
        defaults={
            "code": _free_code(school, skill, form),
            "seconds": round(made.minutes * 60),
            "digits_possible": made.digits_possible,
            "seed": made.seed,
            "digest": made.digest,
            "created_at": at,
        },
    )
    if is_new:
        _write_items(sheet, made)
    return sheet


def _kind(skill: Skill) -> str:
    return Sheet.Kind.COPYING if skill.kind == "copying" else Sheet.Kind.TIMED


def _highest_mark(school: School, skill: Skill, on: date) -> float | None:
    """Sheets are made long enough for the highest mark in use; only their length depends on it."""
    own = Mark.objects.filter(school=school, skill=skill, valid_from__lte=on).aggregate(most=Max("rate"))["most"]
    default = ladder.step(skill.key).default_mark_rate
    known = [float(rate) for rate in (own, default) if rate is not None]
    return max(known, default=None)


def _free_code(school: School, skill: Skill, form: int) -> str:
    """Step and form, short enough for a number pad: 14-3; a later generator's sheet gets a letter."""
    code = f"{skill.position}-{form}"
    taken = set(Sheet.objects.filter(school=school, code__startswith=code).values_list("code", flat=True))
    endings = ["", *"bcdefghjkmnpqrstvwxyz"]
    return next(code + ending for ending in endings if code + ending not in taken)


def _write_items(sheet: Sheet, made: TimedSheet) -> None:
    rows = zip(made.problems, made.running_digits, strict=True)
    SheetItem.objects.bulk_create(
        _item(sheet, n, problem, running=running) for n, (problem, running) in enumerate(rows, 1)
    )


def _item(sheet: Sheet, number: int, problem: Problem, *, running: int) -> SheetItem:
    return SheetItem(
        school_id=sheet.school_id,
        sheet=sheet,
        number=number,
        operation=problem.operation,
        top=problem.top,
        bottom=None if problem.operation == "copy" else problem.bottom,
        unknown=problem.unknown,
        answer=str(problem.answer),
        digits=problem.digits_possible,
        running_digits=running,
    )


def next_form(*, school: School, skill: Skill, grade: int | None, on: date) -> int:
    """The form of a skill, week and grade: the one already in use that week, else the one after the last."""
    used = Attempt.objects.filter(school=school, skill=skill, grade=grade, sheet__isnull=False)
    used = used.exclude(sheet__kind=Sheet.Kind.OUTSIDE).order_by("-check_sat__on", "-pk")
    first, last = week_of(on, week_start=school.week_start)
    same = used.filter(check_sat__on__range=(first, last)).values_list("sheet__form", flat=True).first()
    if same is not None:
        return same
    before = used.filter(check_sat__on__lt=first).values_list("sheet__form", flat=True).first() or 0
    after = used.filter(check_sat__on__gt=last).reverse().values_list("sheet__form", flat=True).first()
    following = before % FORMS + 1
    return following % FORMS + 1 if following == after else following


def week_of(on: date, *, week_start: int) -> tuple[date, date]:
    first = on - timedelta(days=(on.weekday() - week_start) % 7)
    return first, first + timedelta(days=6)


def refuse_form(form: int) -> None:
    if not 1 <= form <= 99:
        raise Refused(_("A form is a number from 1 to 99."), "form")
