"""Puts the year's scores into the school: what teachers kept in files before, then the last weeks day by day."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from datetime import timedelta

from tracker.actions import checks, flags
from tracker.actions.imports import loading
from tracker.actions.scores import Typed, save_row
from tracker.management.demo.model import Score
from tracker.management.demo.score_files import HABITS, score_file
from tracker.management.demo.set_up import OFFICE
from tracker.management.demo.site import Say, Site
from tracker.models import Attempt, Check, Flag

# So many weeks were entered in the product itself; everything before was loaded from files.
LIVE_WEEKS = 2
# The class whose check of this week is still being entered, and every how manyth row of it is not there yet.
OPEN_CLASS, LEFT_EVERY = "Flint", 3
SEEN_FIRST = 3


def load_past(site: Site, scores: Sequence[Score], *, say: Say) -> None:
    last = site.calendar.weeks - LIVE_WEEKS
    on = site.calendar.day(last) + timedelta(days=1)
    for habits, (class_name, rows) in zip(HABITS, _by_class(scores, range(1, last + 1)), strict=False):
        content = score_file(rows, habits)
        name = f"{class_name.lower()}-{site.calendar.year_name.replace('/', '-')}.csv"
        loading.load(kind="scores", content=content, file_name=name, by=site.viewer(OFFICE, on), on=on)
        say(f"{class_name}: {len(rows)} rows loaded from a file")


def enter_last_weeks(site: Site, scores: Sequence[Score], *, say: Say) -> None:
    for week in range(site.calendar.weeks - LIVE_WEEKS + 1, site.calendar.weeks + 1):
        for class_name, rows in _by_class(scores, [week]):
            is_open = week == site.calendar.weeks and class_name == OPEN_CLASS
            _enter(site, class_name, rows, is_open=is_open)
            say(f"{class_name}: check of week {week} entered" + ("" if is_open else " and closed"))
        # As the daily command does the night after.
        flags.raise_clock_flags(school=site.school, on=site.calendar.day(week))
        _look_at_flags(site, week)


def _by_class(scores: Sequence[Score], weeks: Collection[int]) -> Iterator[tuple[str, list[Score]]]:
    found: dict[str, list[Score]] = defaultdict(list)
    for score in scores:
        if score.week in weeks:
            found[score.class_name].append(score)
    yield from sorted(found.items())


def _enter(site: Site, class_name: str, rows: Sequence[Score], *, is_open: bool) -> None:
    on = site.calendar.today if is_open else rows[0].on
    by = site.viewer(site.teacher_of(class_name), on)
    pupils = site.pupils()
    planned = [checks.PlannedRow(pupils[row.reference].public_id, row.skill) for row in rows]
    group = site.classes()[class_name]
    check = checks.plan_check(class_id=group.public_id, sat_on=on, rows=planned, by=by, on=on)
    due = _due(check)
    for number, row in enumerate(rows):
        if is_open and number % LEFT_EVERY == LEFT_EVERY - 1:
            continue
        attempt = due[row.reference, row.skill]
        save_row(
            check_id=check.public_id,
            attempt_id=attempt.public_id,
            typed=_typed(row, attempt),
            key=f"demo-{attempt.public_id}",
            base_version=attempt.version,
            by=by,
            on=on,
        )
    if not is_open:
        checks.close_check(check_id=check.public_id, by=by, on=on)


def _due(check: Check) -> dict[tuple[str, str], Attempt]:
    rows = check.attempts.select_related("pupil", "skill", "sheet")
    return {(row.pupil.school_ref, row.skill.key): row for row in rows}


def _typed(row: Score, attempt: Attempt) -> Typed:
    """As a teacher types: the time only where it was not the whole time."""
    if row.status != "done":
        return Typed(status=row.status)
    seconds = row.seconds if row.seconds != attempt.seconds else None
    return Typed(
        correct=row.correct, wrong=row.wrong, omitted=row.omitted, seconds=seconds, setting=row.setting, confirmed=True
    )


def _look_at_flags(site: Site, week: int) -> None:
    """In the week before this one a teacher has looked at the first flags of each class."""
    if week != site.calendar.weeks - 1:
        return
    on = site.calendar.day(week)
    for person in site.cast.with_role("teacher"):
        by = site.viewer(person.username, on)
        mine = Flag.objects.filter(
            school=site.school, state=Flag.State.OPEN, pupil__enrolments__class_group__name=person.class_name,
            pupil__enrolments__ends__isnull=True,
        )  # fmt: skip
        for flag in mine.order_by("pk")[:SEEN_FIRST]:
            flags.see_flag(flag_id=flag.public_id, by=by, on=on)
