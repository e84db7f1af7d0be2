"""Writes planned scores: checks where none stands, attempts, and then where every pupil stands."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from tracker.access.viewer import Viewer
from tracker.actions.imports.scores_file import ScoresPlan
from tracker.actions.imports.scores_row import ScoreRow
from tracker.actions.record import Change, note_changes
from tracker.actions.settling import settle_pairs
from tracker.models import Attempt, Check, ImportBatch

FILLED = ("status", "correct", "wrong", "omitted", "seconds", "setting", "mode", "version", "import_batch",
          "entered_by", "entered_at")  # fmt: skip


def write_scores(plan: ScoresPlan, *, batch: ImportBatch, by: Viewer, on: date) -> dict[str, Any]:
    """Gives back the trail that undoing follows."""
    at = timezone.now()
    checks, made_checks = _checks(plan.make, by, at)
    made = Attempt.objects.bulk_create(
        _fill(Attempt(**_where(row, checks)), row, batch=batch, by=by, at=at) for row in plan.make
    )
    filled = [_fill(attempt, row, batch=batch, by=by, at=at) for row, attempt in plan.fill]
    Attempt.objects.bulk_update(filled, FILLED)
    _note(made + filled, plan, by, on)
    pairs = {(attempt.pupil_id, attempt.skill_id) for attempt in made + filled}
    settle_pairs(school=by.school, pairs=pairs, by=by, on=on, at=at)
    return {
        "checks": [check.public_id for check in made_checks],
        "filled": [attempt.public_id for attempt in filled],
    }


def _checks(rows: Iterable[ScoreRow], by: Viewer, at: datetime) -> tuple[dict[tuple[int, date], Check], list[Check]]:
    """One check a class and day; one that stands is used, in whatever state it is."""
    wanted = {(row.place.class_group_id, row.on): row for row in rows}
    groups = {group for group, _day in wanted}
    days = {day for _group, day in wanted}
    stand = Check.objects.filter(school=by.school, class_group__in=groups, on__in=days).order_by("id")
    found = {(check.class_group_id, check.on): check for check in stand}
    made = Check.objects.bulk_create(
        Check(
            school=by.school,
            year=row.year,
            class_group=row.place.class_group,
            on=row.on,
            state=Check.State.CLOSED,
            created_by=by.user,
            created_at=at,
            closed_by=by.user,
            closed_at=at,
        )
        for key, row in wanted.items()
        if key not in found
    )
    return {**found, **{(check.class_group_id, check.on): check for check in made}}, made


def _where(row: ScoreRow, checks: dict[tuple[int, date], Check]) -> dict[str, Any]:
    return {
        "school": row.pupil.school,
        "check_sat": checks[row.place.class_group_id, row.on],
        "pupil": row.pupil,
        "skill": row.skill,
        "sheet": row.sheet,
        "class_group": row.place.class_group,
        "grade": row.place.grade,
        "taken_on": row.on,
    }


def _fill(attempt: Attempt, row: ScoreRow, *, batch: ImportBatch, by: Viewer, at: datetime) -> Attempt:
    attempt.status = row.status
    attempt.correct, attempt.wrong, attempt.omitted = row.correct, row.wrong, row.omitted
    attempt.seconds = row.seconds
    attempt.setting, attempt.mode = row.setting, row.mode
    attempt.version = 1
    attempt.import_batch = batch
    attempt.entered_by, attempt.entered_at = by.user, at
    return attempt


def _note(attempts: list[Attempt], plan: ScoresPlan, by: Viewer, on: date) -> None:
    rows = [*plan.make, *(row for row, _attempt in plan.fill)]
    note_changes(
        (
            Change(
                "load-score",
                "attempt",
                attempt.public_id,
                row.pupil.public_id,
                after={"status": row.status, "correct": row.correct, "wrong": row.wrong, "seconds": row.seconds},
            )
            for attempt, row in zip(attempts, rows, strict=True)
        ),
        by=by,
        on=on,
    )
