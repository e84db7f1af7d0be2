"""Prints ratios measured side by side in one run; needs a checkout with its tests."""

from argparse import ArgumentParser
from importlib import import_module
from typing import Any

from django.core.management.base import BaseCommand, CommandError

BODIES = {"pages": "tests.benchmarks.pages"}


class Command(BaseCommand):
    help = "Measures pages and saves against a base view, on a throw-away database."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", choices=sorted(BODIES))
        parser.add_argument("--rounds", type=int, default=40)

    def handle(self, **options: Any) -> None:
        try:
            body = import_module(BODIES[options["what"]])
        except ModuleNotFoundError as missing:
            raise CommandError(
                "Run this in a checkout of the project: the bodies stand in tests/benchmarks."
            ) from missing
        body.run(rounds=options["rounds"], say=self.stdout.write)
