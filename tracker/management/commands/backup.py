"""Writes a copy of the database with its manifest."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from tracker.management.backups import BackupFault, back_up


class Command(BaseCommand):
    help = "Writes a whole copy of the database and a manifest beside it. Never copy the database file itself."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--folder", type=Path, default=Path(settings.VAR_DIR) / "backups")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            copy = back_up(options["folder"], at=timezone.now())
        except BackupFault as fault:
            raise CommandError(str(fault)) from fault
        self.stdout.write(f"Written: {copy}")
        self.stdout.write("Keep it with its manifest, on another machine, and look at it with verify_backup.")
