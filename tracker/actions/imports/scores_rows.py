"""Writes planned scores: checks where none stands, attempts, and then where every pupil stands."""

from collections.abc import Sequence
from dataclasses import fields
from datetime import date, datetime
from typing import Any

from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.imports.scores_file import Scored, ScoresPlan
from tracker.actions.record import Change, note_changes
from tracker.actions.settling import settle_pairs
from tracker.actions.typed import Entry, entry_of
from tracker.models import Attempt, Check, ImportBatch, Phase

ENTERED = tuple(field.name for field in fields(Entry))
FILLED = (*ENTERED, "sheet", "version", "import_batch", "entered_by", "entered_at")
SHOWN = ("status", "correct", "wrong", "omitted", "seconds")

Checks = dict[tuple[int | None, date], Check]


def write_scores(plan: ScoresPlan, *, batch: ImportBatch, by: Viewer, on: date) -> dict[str, Any]:
    """Gives back the trail that undoing follows."""
    at = timezone.now()
    checks, made_checks = _checks(plan.make, by, at)
    _hold(plan.fill)
    trail = [_before(one) for one in plan.fill]
    _give_phases(plan.make, by)
    for one in plan.make:
        one.attempt.check_sat = checks[one.attempt.class_group_id, one.row.on]
    scored = [*plan.make, *plan.fill]
    for one in scored:
        _fill(one, batch=batch, by=by, at=at)
    Attempt.objects.bulk_create([one.attempt for one in plan.make])
    Attempt.objects.bulk_update([one.attempt for one in plan.fill], FILLED)
    note_changes((_change(one) for one in scored), by=by, on=on)
    settle_pairs(
        school=by.school,
        pairs={(one.row.pupil.pk, one.row.skill.pk) for one in scored},
        checks={one.attempt.check_sat_id for one in scored},
        by=by,
        on=on,
        at=at,
    )
    return {"checks": [check.public_id for check in made_checks], "filled": trail}


def _checks(make: Sequence[Scored], by: Viewer, at: datetime) -> tuple[Checks, list[Check]]:
    """One check a class and day; one that stands is used, in whatever state it is."""
    wanted = {(one.attempt.class_group_id, one.row.on): one for one in make}
    standing = Check.objects.select_for_update(no_key=True).filter(
        school=by.school,
        class_group__in={group for group, _day in wanted},
        on__in={day for _group, day in wanted},
    )
    found: Checks = {(check.class_group_id, check.on): check for check in standing.order_by("pk")}
    made = Check.objects.bulk_create(
        Check(
            school=by.school,
            year=one.row.year,
            class_group=one.attempt.class_group,
            on=one.row.on,
            state=Check.State.CLOSED,
            created_by=by.user,
            created_at=at,
            closed_by=by.user,
            closed_at=at,
        )
        for key, one in wanted.items()
        if key not in found
    )
    return {**found, **{(check.class_group_id, check.on): check for check in made}}, made


def _hold(fill: Sequence[Scored]) -> None:
    """Checks first, then their rows, as everywhere; a row that somebody typed into meanwhile is not overwritten."""
    if not fill:
        return
    checks = Check.objects.select_for_update(no_key=True).filter(pk__in={one.attempt.check_sat_id for one in fill})
    list(checks.order_by("pk").values_list("pk"))
    rows = Attempt.objects.select_for_update(no_key=True).filter(pk__in=[one.attempt.pk for one in fill])
    held = dict(rows.order_by("pk").values_list("pk", "version"))
    if any(held.get(one.attempt.pk) != one.attempt.version for one in fill):
        raise Refused(_("Somebody has just typed scores of this file. Look at the file once more."), "file")


def _before(one: Scored) -> dict[str, Any]:
    before = {**entry_of(one.attempt).as_json(), "sheet_id": one.planned_sheet}
    return {"attempt": one.attempt.public_id, "version": one.attempt.version + 1, "before": before}


def _give_phases(make: Sequence[Scored], by: Viewer) -> None:
    """Each new row belongs to the stretch of teaching that held on its day, as a planned row does."""
    about = Q(pupil__in={one.row.pupil.pk for one in make}, skill__in={one.row.skill.pk for one in make})
    began: dict[tuple[int, int], list[Phase]] = {}
    for phase in Phase.objects.filter(about, school=by.school).order_by("began_on", "pk"):
        began.setdefault((phase.pupil_id, phase.skill_id), []).append(phase)
    for one in make:
        held = [phase for phase in began.get(one.row.key[:2], ()) if phase.began_on <= one.row.on]
        one.attempt.phase = held[-1] if held else None


def _fill(one: Scored, *, batch: ImportBatch, by: Viewer, at: datetime) -> None:
    attempt = one.attempt
    for name in ENTERED:
        setattr(attempt, name, getattr(one.entry, name))
    attempt.version += 1
    attempt.import_batch = batch
    attempt.entered_by, attempt.entered_at = by.user, at


def _change(one: Scored) -> Change:
    after = {name: getattr(one.entry, name) for name in SHOWN}
    return Change("load-score", "attempt", one.attempt.public_id, one.row.pupil.public_id, after=after)
