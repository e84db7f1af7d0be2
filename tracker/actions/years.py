"""School years with their terms and breaks."""

from collections.abc import Iterable
from datetime import date
from typing import Protocol

from django.db import transaction
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.reach import demand, hold_school, reach, written
from tracker.actions.record import Change, note_change
from tracker.models import Break, Check, ClassGroup, ReportMark, SchoolYear, Term


class Stretch(Protocol):
    name: str
    starts: date
    ends: date


def _dates(row: Stretch) -> dict[str, str]:
    return {"name": row.name, "starts": row.starts.isoformat(), "ends": row.ends.isoformat()}


def _refuse_disorder(starts: date, ends: date) -> None:
    if ends <= starts:
        raise Refused(_("The last day must come after the first day."), "ends")


def _refuse_outside(year: SchoolYear, starts: date, ends: date) -> None:
    for field, day in (("starts", starts), ("ends", ends)):
        if not year.starts <= day <= year.ends:
            raise Refused(
                _("This day is outside the school year, which runs from %(first)s to %(last)s.")
                % {"first": written(year.starts), "last": written(year.ends)},
                field,
            )


def _refuse_overlap(others: Iterable[Stretch], starts: date, ends: date) -> None:
    for other in others:
        if starts <= other.ends and ends >= other.starts:
            raise Refused(
                _("These days overlap with “%(name)s”, from %(first)s to %(last)s.")
                % {"name": other.name, "first": written(other.starts), "last": written(other.ends)},
                "starts",
            )


def _refuse_same_name(others: Iterable[Stretch], name: str) -> None:
    if any(other.name.casefold() == name.casefold() for other in others):
        raise Refused(_("There is already one called “%(name)s”.") % {"name": name}, "name")


def _note(action: str, row: SchoolYear | Term | Break, *, by: Viewer, on: date, before: dict[str, str] | None) -> None:
    kind = "year" if isinstance(row, SchoolYear) else type(row).__name__.lower()
    after = None if action == "remove" else _dates(row)
    note_change(Change(f"{action}-{kind}", kind, row.public_id, before=before, after=after), by=by, on=on)


@transaction.atomic
def add_year(*, name: str, starts: date, ends: date, by: Viewer, on: date) -> SchoolYear:
    demand(by, "manage-roster")
    school = hold_school(by)
    _check_year(school.years.all(), name, starts=starts, ends=ends)
    year = SchoolYear.objects.create(school=school, name=name, starts=starts, ends=ends)
    _note("add", year, by=by, on=on, before=None)
    return year


@transaction.atomic
def change_year(*, year_id: str, name: str, starts: date, ends: date, by: Viewer, on: date) -> SchoolYear:
    """New first and last days must leave room for all that already stands in the year."""
    demand(by, "manage-roster")
    school = hold_school(by)
    year = reach(school.years.all(), year_id)
    _check_year(school.years.exclude(pk=year.pk), name, starts=starts, ends=ends)
    _refuse_cut(year, starts, ends)
    before = _dates(year)
    year.name, year.starts, year.ends = name, starts, ends
    year.save(update_fields=["name", "starts", "ends"])
    _note("change", year, by=by, on=on, before=before)
    return year


def _check_year(others: Iterable[SchoolYear], name: str, *, starts: date, ends: date) -> None:
    _refuse_disorder(starts, ends)
    if (ends - starts).days > 400:
        raise Refused(_("A school year has at most 400 days; please look at both days again."), "ends")
    _refuse_same_name(others, name)
    _refuse_overlap(others, starts, ends)


def _refuse_cut(year: SchoolYear, starts: date, ends: date) -> None:
    rows: list[Stretch] = [*year.terms.all(), *year.breaks.all()]
    used = [day for row in rows for day in (row.starts, row.ends)]
    used += Check.objects.filter(year=year).values_list("on", flat=True)
    used += year.class_groups.filter(enrolments__starts__isnull=False).values_list("enrolments__starts", flat=True)
    if used and min(used) < starts:
        raise Refused(_("Something in this year already stands on %(day)s.") % {"day": written(min(used))}, "starts")
    if used and max(used) > ends:
        raise Refused(_("Something in this year already stands on %(day)s.") % {"day": written(max(used))}, "ends")


@transaction.atomic
def remove_year(*, year_id: str, by: Viewer, on: date) -> None:
    demand(by, "manage-roster")
    year = reach(hold_school(by).years.all(), year_id)
    if ClassGroup.objects.filter(year=year).exists() or Check.objects.filter(year=year).exists():
        raise Refused(_("This year has classes. Remove those first; a year with checks stays."))
    _note("remove", year, by=by, on=on, before=_dates(year))
    year.delete()


@transaction.atomic
def add_term(*, year_id: str, name: str, starts: date, ends: date, by: Viewer, on: date) -> Term:
    demand(by, "manage-roster")
    year = reach(hold_school(by).years.all(), year_id)
    _check_term(year, year.terms.all(), name=name, starts=starts, ends=ends)
    term = Term.objects.create(school=by.school, year=year, name=name, starts=starts, ends=ends)
    _note("add", term, by=by, on=on, before=None)
    return term


@transaction.atomic
def change_term(*, term_id: str, name: str, starts: date, ends: date, by: Viewer, on: date) -> Term:
    demand(by, "manage-roster")
    term = reach(Term.objects.filter(school=hold_school(by)).select_related("year"), term_id)
    if term.frozen_on:
        raise Refused(_("The marks of this term are frozen, so its days stay as they are."))
    _check_term(term.year, term.year.terms.exclude(pk=term.pk), name=name, starts=starts, ends=ends)
    before = _dates(term)
    term.name, term.starts, term.ends = name, starts, ends
    term.save(update_fields=["name", "starts", "ends"])
    _note("change", term, by=by, on=on, before=before)
    return term


def _check_term(year: SchoolYear, others: Iterable[Term], *, name: str, starts: date, ends: date) -> None:
    _refuse_disorder(starts, ends)
    _refuse_outside(year, starts, ends)
    _refuse_same_name(others, name)
    _refuse_overlap(others, starts, ends)


@transaction.atomic
def remove_term(*, term_id: str, by: Viewer, on: date) -> None:
    demand(by, "manage-roster")
    term = reach(Term.objects.filter(school=hold_school(by)), term_id)
    if ReportMark.objects.filter(term=term).exists():
        raise Refused(_("Report marks rest on this term, so it stays."))
    _note("remove", term, by=by, on=on, before=_dates(term))
    term.delete()


@transaction.atomic
def add_break(*, year_id: str, name: str, starts: date, ends: date, by: Viewer, on: date) -> Break:
    demand(by, "manage-roster")
    year = reach(hold_school(by).years.all(), year_id)
    _check_break(year, year.breaks.all(), starts=starts, ends=ends)
    row = Break.objects.create(school=by.school, year=year, name=name, starts=starts, ends=ends)
    _note("add", row, by=by, on=on, before=None)
    return row


@transaction.atomic
def change_break(*, break_id: str, name: str, starts: date, ends: date, by: Viewer, on: date) -> Break:
    demand(by, "manage-roster")
    row = reach(Break.objects.filter(school=hold_school(by)).select_related("year"), break_id)
    _check_break(row.year, row.year.breaks.exclude(pk=row.pk), starts=starts, ends=ends)
    before = _dates(row)
    row.name, row.starts, row.ends = name, starts, ends
    row.save(update_fields=["name", "starts", "ends"])
    _note("change", row, by=by, on=on, before=before)
    return row


def _check_break(year: SchoolYear, others: Iterable[Break], *, starts: date, ends: date) -> None:
    """A break may be a single day."""
    if ends < starts:
        raise Refused(_("The last day must not come before the first day."), "ends")
    _refuse_outside(year, starts, ends)
    _refuse_overlap(others, starts, ends)


@transaction.atomic
def remove_break(*, break_id: str, by: Viewer, on: date) -> None:
    demand(by, "manage-roster")
    row = reach(Break.objects.filter(school=hold_school(by)), break_id)
    _note("remove", row, by=by, on=on, before=_dates(row))
    row.delete()
