"""Erases again whoever was erased after a copy was made that is now back in use."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from tracker.actions.erasure import replay_erasures


class Command(BaseCommand):
    help = (
        "Run this after every restore. Reads the list beside the database, and manifests of newer copies if given, "
        "and erases every pupil on them who is there again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("lists", nargs="*", type=Path, help="Further lists, or manifests of newer copies.")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            number = replay_erasures(lists=options["lists"])
        except (OSError, ValueError, KeyError) as wrong:
            raise CommandError(f"A list could not be read: {wrong}") from wrong
        self.stdout.write(f"Pupils erased again: {number}")
