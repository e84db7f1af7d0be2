"""A school's beginning and its settings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import available_timezones

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone as clock
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.reach import demand, hold_school
from tracker.actions.record import Change, note_change
from tracker.actions.reference import sync_reference
from tracker.measures.ladder import DEFAULT_WORDS
from tracker.measures.rules import DEFAULT_RULES, Rules
from tracker.models import Membership, Role, School, SchoolYear, Skill, Standing, User


@dataclass(frozen=True)
class Started:
    school: School
    year: SchoolYear
    office: User


@transaction.atomic
def start_school(
    *,
    name: str,
    year_name: str,
    year_starts: date,
    year_ends: date,
    office_name: str,
    office_username: str,
    on: date,
    timezone: str = "UTC",
    language: str = "en",
    password: str = "",
    existing_account: bool = False,
    is_demo: bool = False,
) -> Started:
    """The first rows of a school, made by whoever runs the installation. Without a password the office user signs in
    with a one-time code first."""
    _refuse_name(name)
    _refuse_timezone(timezone)
    _refuse_year(year_starts, year_ends)
    sync_reference()
    school = School.objects.create(
        name=name, timezone=timezone, language=language, is_demo=is_demo, created_at=clock.now()
    )
    year = SchoolYear.objects.create(school=school, name=year_name, starts=year_starts, ends=year_ends)
    office = _office_user(office_name, office_username, password, existing=existing_account)
    # An office is needed before the year begins, too.
    Membership.objects.create(school=school, user=office, role=Role.OFFICE, starts=min(on, year_starts))
    after = {"name": name, "year": year_name, "office": office.public_id}
    note_change(Change("start-school", "school", school.public_id, after=after), by=None, on=on, school=school)
    return Started(school, year, office)


def _refuse_name(name: str) -> None:
    if not name.strip():
        raise Refused(_("Give the school a name."), "name")
    if School.objects.filter(name__iexact=name).exists():
        raise Refused(_("There is already a school called “%(name)s”; nothing was changed.") % {"name": name}, "name")


def _refuse_timezone(timezone: str) -> None:
    if timezone not in available_timezones():
        sentence = _("“%(zone)s” is no time zone; write one as Europe/Oslo or America/Chicago.") % {"zone": timezone}
        raise Refused(sentence, "timezone")


def _refuse_year(starts: date, ends: date) -> None:
    if ends <= starts:
        raise Refused(_("The last day must come after the first day."), "year_ends")
    if (ends - starts).days > 400:
        raise Refused(_("A school year has at most 400 days; please look at both days again."), "year_ends")


def _office_user(name: str, username: str, password: str, *, existing: bool) -> User:
    known = User.objects.filter(username__iexact=username).first()
    if existing:
        if known is None:
            raise Refused(_("Nobody signs in as “%(name)s” yet.") % {"name": username}, "office_username")
        return known
    if known is not None:
        raise Refused(_("The sign-in name “%(name)s” is taken.") % {"name": username}, "office_username")
    user = User(username=username, name=name, date_joined=clock.now())
    if password:
        check_password(password, user)
    user.set_password(password or None)
    user.save()
    return user


def check_password(password: str, user: User) -> None:
    try:
        validate_password(password, user)
    except ValidationError as weak:
        raise Refused(" ".join(weak.messages), "password") from weak


@transaction.atomic
def change_school(
    *,
    name: str,
    timezone: str,
    language: str,
    week_start: int,
    date_order: str,
    typing: str,
    words: Mapping[str, str],
    by: Viewer,
    on: date,
) -> School:
    demand(by, "manage-roster")
    school = hold_school(by)
    if School.objects.filter(name__iexact=name).exclude(pk=school.pk).exists():
        raise Refused(_("Another school here has this name."), "name")
    _refuse_timezone(timezone)
    wanted: dict[str, Any] = {
        "name": name,
        "timezone": timezone,
        "language": language,
        "week_start": week_start,
        "date_order": date_order,
        "typing": typing,
        "words": {word: words[word] for word in DEFAULT_WORDS if words.get(word)},
    }
    return _change(school, wanted, by=by, on=on)


@transaction.atomic
def set_skills_off(*, skills_off: Sequence[str], by: Viewer, on: date) -> School:
    """Skills that the school does not teach; they are never proposed. What was recorded on them stays."""
    demand(by, "manage-roster")
    keys = list(Skill.objects.filter(key__in=skills_off).values_list("key", flat=True))
    return _change(hold_school(by), {"skills_off": keys}, by=by, on=on)


@transaction.atomic
def set_rules(*, rules: Mapping[str, float | int | str], by: Viewer, on: date) -> School:
    """Only what differs from the defaults is kept, so that better defaults reach every school that kept them."""
    demand(by, "set-marks")
    try:
        chosen = Rules.from_mapping(rules).as_mapping()
    except ValueError as wrong:
        raise Refused(str(wrong), str(wrong).split(" ", 1)[0]) from wrong
    kept = {name: value for name, value in chosen.items() if value != DEFAULT_RULES.as_mapping()[name]}
    school = hold_school(by)
    if kept != school.rules:
        Standing.objects.filter(school=school).update(stale=True)
    return _change(school, {"rules": kept}, by=by, on=on)


def _change(school: School, wanted: dict[str, Any], *, by: Viewer, on: date) -> School:
    before = {field: getattr(school, field) for field, value in wanted.items() if getattr(school, field) != value}
    if not before:
        return school
    for field in before:
        setattr(school, field, wanted[field])
    school.save(update_fields=list(before))
    after = {field: wanted[field] for field in before}
    note_change(Change("change-school", "school", school.public_id, before=before, after=after), by=by, on=on)
    return school
