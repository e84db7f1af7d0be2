"""What the calendar asks for once a day; safe to run again."""

from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from tracker.access.viewer import today_at
from tracker.actions.checks import close_overdue
from tracker.actions.flags import raise_clock_flags
from tracker.actions.saved import forget_keys
from tracker.actions.standings import rebuild
from tracker.models import School


class Command(BaseCommand):
    help = (
        "Closes checks that are over, works out standings that a new mark made stale, and raises or ends "
        "the flags that rest on the calendar, by each school's own day. Run it once a day."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        for school in School.objects.order_by("pk"):
            on = today_at(school, now=now)
            closed = close_overdue(school=school, on=on)
            changed = rebuild(school=school, on=on, at=now, stale_only=True)
            raised, ended = raise_clock_flags(school=school, on=on)
            self.stdout.write(
                f"{school.public_id} {on}: checks closed {closed}, standings worked out {changed.written}, "
                f"flags raised {raised}, flags ended {ended}"
            )
        forget_keys(before=now - timedelta(days=30))
