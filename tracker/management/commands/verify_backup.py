"""Says whether a copy of the database is whole."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from tracker.management.backups import BackupFault, place_of, verify


class Command(BaseCommand):
    help = "Opens a copy and compares it with its manifest; ends with an error when anything is wrong."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--scratch", default="", help="For PostgreSQL: address of an empty database to restore into."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        scratch = options["scratch"]
        try:
            verify(options["file"], scratch=place_of(scratch) if scratch else None, tell=self.stdout.write)
        except BackupFault as fault:
            raise CommandError(str(fault)) from fault
        self.stdout.write("The copy is whole.")
