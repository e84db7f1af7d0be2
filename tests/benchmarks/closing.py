"""Closing a check against a raw executemany of the same rows."""

from collections.abc import Callable, Iterable
from statistics import median
from time import perf_counter
from typing import Any

from django.db import connection, models, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.benchmarks.school import Built
from tests.benchmarks.statements import statements
from tracker.access.viewer import Viewer, viewer_for
from tracker.actions.checks import close_check
from tracker.models import Attempt, ChangeRecord, Check, Flag, MasteryEvent, Standing

Say = Callable[[str], Any]
WRITTEN = (Standing, MasteryEvent, Flag, ChangeRecord)


def measure(built: Built, *, rounds: int, say: Say) -> None:
    viewer = viewer_for(built.teacher, now=timezone.now())
    assert viewer is not None
    for size in (3, len(built.open_check.attempts.all())):
        check = _only(built.open_check, size)
        with CaptureQueriesContext(connection) as seen:
            close_check(check_id=check.public_id, by=viewer, on=viewer.today)
        say(f"closing a check of {size}: {statements(seen)} queries (aim <= 12)")
        check.delete()
    _against_raw(built, viewer, rounds, say)


def _only(check: Check, size: int) -> Check:
    """A new open check with the first rows of the open one, entered."""
    rows = list(check.attempts.order_by("pk")[:size])
    copy = Check.objects.create(
        school=check.school, year=check.year, class_group=check.class_group, on=check.on, created_at=timezone.now()
    )
    Attempt.objects.bulk_create(
        Attempt(
            school_id=row.school_id, check_sat=copy, pupil_id=row.pupil_id, skill_id=row.skill_id,
            sheet_id=row.sheet_id, class_group_id=row.class_group_id, grade=row.grade, taken_on=row.taken_on,
            status="done",
            correct=24 + row.pk % 9, wrong=row.pk % 3, omitted=0, seconds=120,
        )
        for row in rows
    )  # fmt: skip
    return copy


def _against_raw(built: Built, viewer: Viewer, rounds: int, say: Say) -> None:
    closing, raw, count = [], [], 0
    for _round in range(rounds):
        check = _only(built.open_check, 30)
        before = {model: set(model.objects.values_list("pk", flat=True)) for model in WRITTEN}
        began = perf_counter()
        close_check(check_id=check.public_id, by=viewer, on=viewer.today)
        closing.append(perf_counter() - began)
        made = {model: list(model.objects.exclude(pk__in=before[model])) for model in WRITTEN}
        count = sum(len(rows) for rows in made.values())
        for model, rows in made.items():
            model.objects.filter(pk__in=[row.pk for row in rows]).delete()
        began = perf_counter()
        _write_raw(made)
        raw.append(perf_counter() - began)
        # The next round must find the same history.
        check.delete()
    ratio = median(closing) / median(raw)
    say(
        f"closing a check of 30: {1000 * median(closing):.1f} ms, raw executemany of the same {count} rows "
        f"{1000 * median(raw):.1f} ms, ratio {ratio:.1f} (aim <= 2.5 on PostgreSQL)"
    )


def _write_raw(made: dict[type[models.Model], list[Any]]) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        for model, rows in made.items():
            if rows:
                cursor.executemany(*_statement(model, rows))


def _statement(model: type[models.Model], rows: Iterable[Any]) -> tuple[str, list[list[Any]]]:
    fields = model._meta.concrete_fields
    names = ", ".join(f'"{field.column}"' for field in fields)
    places = ", ".join(["%s"] * len(fields))
    values = [[field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields] for row in rows]
    # Names come from the models themselves.
    return f'INSERT INTO "{model._meta.db_table}" ({names}) VALUES ({places})', values  # noqa: S608
