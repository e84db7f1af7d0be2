"""Works the standings out again from attempts, marks and recorded days."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from tracker.access.viewer import today_at
from tracker.actions.standings import rebuild
from tracker.models import School


class Command(BaseCommand):
    help = (
        "Writes standings only: flags and recorded days stay as they are. Says which stages changed. "
        "With --look nothing is written."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--stale", action="store_true", help="only pupils and skills marked as stale")
        parser.add_argument("--school", default="", help="public id of one school")
        parser.add_argument("--look", action="store_true", help="say what would change and write nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        schools = School.objects.order_by("pk")
        if options["school"]:
            schools = schools.filter(public_id=options["school"])
            if not schools:
                raise CommandError(f"There is no school {options['school']}.")
        now = timezone.now()
        for school in schools:
            found = rebuild(
                school=school,
                on=today_at(school, now=now),
                at=now,
                stale_only=options["stale"],
                look_only=options["look"],
            )
            verb = "would change" if options["look"] else "changed"
            self.stdout.write(f"{school.public_id}: {found.written} standings, {found.changed} {verb}")
            for change, number in sorted(found.stages.items()):
                self.stdout.write(f"  {change}: {number}")
