"""Loads a file of scores or pupils from the command line, with the same checks as the page."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from tracker.access.viewer import Viewer, viewer_for
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.imports import loading
from tracker.models import User


class Command(BaseCommand):
    help = "Loads a CSV file of scores (or, with --roster, of pupils). All or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--by", required=True, help="sign-in name of an office or coordinator account")
        parser.add_argument("--roster", action="store_true", help="the file holds pupils and classes")
        parser.add_argument("--preview", action="store_true", help="say what would happen and write nothing")

    def handle(self, **options: Any) -> None:
        viewer = _viewer(options["by"])
        kind = "roster" if options["roster"] else "scores"
        try:
            content = options["file"].read_bytes()
            plan = loading.preview(kind=kind, content=content, by=viewer, on=viewer.today)
            for fault in plan.faults:
                self.stderr.write(str(fault))
            if plan.faults:
                raise CommandError("Nothing was loaded. Mend these in the file and run the command again.")
            for warning in plan.warnings:
                self.stdout.write(warning)
            if options["preview"]:
                self.stdout.write(f"{plan.rows - plan.same} new or changed, {plan.same} there already.")
                return
            batch = loading.load(kind=kind, content=content, file_name=options["file"].name, by=viewer, on=viewer.today)
        except FileNotFoundError as missing:
            raise CommandError(f"There is no file {options['file']}.") from missing
        except Refused as refused:
            raise CommandError(refused.sentence) from refused
        except OutOfScope as missing:
            raise CommandError(f"{options['by']} may not load files.") from missing
        self.stdout.write(f"{batch.made} loaded, {batch.same} there already." if batch else "Nothing new in the file.")


def _viewer(username: str) -> Viewer:
    user = User.objects.filter(username__iexact=username).first()
    viewer = viewer_for(user, now=timezone.now()) if user else None
    if viewer is None:
        raise CommandError(f"Nobody with the sign-in name {username} has a role today.")
    return viewer
