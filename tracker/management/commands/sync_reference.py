"""Brings the skill table up to the ladder of this version."""

from typing import Any

from django.core.management.base import BaseCommand

from tracker.actions.reference import sync_reference


class Command(BaseCommand):
    help = "Writes the skills of the ladder into the database; running it again changes nothing."

    def handle(self, *args: Any, **options: Any) -> None:
        changed = sync_reference()
        self.stdout.write(f"Skills written: {changed}." if changed else "All skills are up to date.")
