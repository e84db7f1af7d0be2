"""Loads a file of scores or pupils from the command line, with the same checks as the page."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from tracker.access.viewer import Viewer, viewer_for
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.imports import loading
from tracker.models import Membership, Role, User


class Command(BaseCommand):
    help = "Loads a CSV file of scores (or, with --roster, of pupils). All or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--by", default="", help="sign-in name of an office or coordinator account")
        parser.add_argument("--school", default="", help="name of the school, where that account has several")
        parser.add_argument("--roster", action="store_true", help="the file holds pupils and classes")
        parser.add_argument("--preview", action="store_true", help="say what would happen and write nothing")

    def handle(self, **options: Any) -> None:
        viewer = _viewer(options["by"], options["school"])
        file: Path = options["file"]
        kind = "roster" if options["roster"] else "scores"
        try:
            content = file.read_bytes()
            plan = self._tell(loading.preview(content=content, kind=kind, by=viewer, on=viewer.today))
            if options["preview"]:
                self.stdout.write(f"{plan.rows - plan.same} new or changed, {plan.same} there already.")
                return
            batch = loading.load(content=content, kind=kind, file_name=file.name, by=viewer, on=viewer.today)
        except OSError as error:
            raise CommandError(f"{file} can't be read: {error.strerror}.") from error
        except Refused as refused:
            raise CommandError(str(refused.sentence)) from refused
        except OutOfScope as missing:
            raise CommandError(f"{viewer.user.username} may not load files.") from missing
        self.stdout.write(f"{batch.made} loaded, {batch.same} there already." if batch else "Nothing new in the file.")

    def _tell(self, plan: loading.Plan) -> loading.Plan:
        for fault in plan.faults:
            self.stderr.write(str(fault))
        if plan.faults:
            raise CommandError("Nothing was loaded. Mend these in the file and run the command again.")
        for warning in plan.warnings:
            self.stdout.write(warning)
        return plan


def _viewer(username: str, school: str) -> Viewer:
    user = User.objects.filter(username__iexact=username).first() if username else _only_office()
    viewer = viewer_for(user, now=timezone.now()) if user else None
    if viewer is None:
        raise CommandError(f"Nobody with the sign-in name {username} has a role today.")
    if school:
        chosen = next((one for one in viewer.schools if one.name.casefold() == school.casefold()), None)
        viewer = viewer_for(viewer.user, now=timezone.now(), school_id=chosen.public_id) if chosen else None
        if viewer is None:
            raise CommandError(f"{username} has no role at {school} today.")
    return viewer


def _only_office() -> User:
    people = Membership.objects.filter(role__in=[Role.OFFICE, Role.COORDINATOR]).order_by("user_id")
    found = list(people.values_list("user_id", flat=True).distinct())
    if len(found) != 1:
        raise CommandError("Say with --by who loads the file: the sign-in name of an office or coordinator account.")
    return User.objects.get(pk=found[0])
