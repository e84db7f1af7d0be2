"""Builds the invented school, says what there is to see, and serves it to this computer only."""

import sys
from argparse import ArgumentParser
from collections.abc import Iterable
from io import TextIOWrapper
from pathlib import Path
from time import monotonic
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.core.wsgi import get_wsgi_application
from django.utils import timezone

from tracker.management.demo import fixtures, keeping, told
from tracker.management.demo.builder import build
from tracker.management.demo.calendar import Calendar
from tracker.management.demo.score_files import file_to_try
from tracker.management.demo.server import PortTaken, serve_until_stopped, server
from tracker.management.demo.site import whole_school_viewer

TO_TRY = "scores-to-try"


class Command(BaseCommand):
    help = "Builds an invented school and serves it on this computer only. Running it again finds what is there."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--build-only", action="store_true", help="build the school, tell, and stop")
        parser.add_argument("--port", type=int, default=8000, help="8000 unless given; 0 takes a free one")
        parser.add_argument("--reset", action="store_true", help="throw the demo away and build it anew")

    def handle(self, **options: Any) -> None:
        if not settings.DEMO:
            raise CommandError("The demo has settings of its own: run it as `python manage.py demo`.")
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, TextIOWrapper):
                # A console that lacks a name's letters still shows the rest.
                stream.reconfigure(errors="replace")
        Path(settings.STATIC_ROOT).mkdir(parents=True, exist_ok=True)
        if options["build_only"]:
            self._prepare(reset=options["reset"])
            return
        try:
            made = server(options["port"], get_wsgi_application())
        except PortTaken as taken:
            raise CommandError(str(taken)) from taken
        self._prepare(reset=options["reset"])
        serve_until_stopped(made, ready=self._ready)
        self.stdout.write("Stopped.")

    def _prepare(self, *, reset: bool) -> None:
        today = timezone.now().date()
        try:
            found = keeping.state(today=today)
        except keeping.RealSchool as real:
            raise CommandError(str(real)) from real
        if found == keeping.UNREADABLE and not (reset or keeping.own_file()):
            raise CommandError("This database is of another version; --reset empties it and builds the demo anew.")
        calendar = Calendar(today)
        if reset or found != keeping.THIS_WEEK:
            self._build(calendar, found)
        else:
            call_command("migrate", verbosity=0)
            self.stdout.write("The demo of this week is there already (--reset builds it anew).")
        self._tell(calendar)

    def _build(self, calendar: Calendar, found: str) -> None:
        if found != keeping.EMPTY:
            self.stdout.write("Putting away the demo that is there." if found != keeping.EARLIER else
                              "The demo is from an earlier week: building it anew.")  # fmt: skip
            keeping.empty()
        began = monotonic()
        self.stdout.write("Building the invented school; this takes less than a minute.")
        call_command("migrate", verbosity=0)
        self._say("tables are there")
        build(today=calendar.today, say=self._say)
        self._say(f"done in {monotonic() - began:.0f} seconds")

    def _say(self, line: str) -> None:
        self.stdout.write(f"  {line}")
        self.stdout.flush()

    def _tell(self, calendar: Calendar) -> None:
        viewer = whole_school_viewer(calendar.today)
        path = Path(settings.VAR_DIR) / f"{TO_TRY}.csv"
        path.write_bytes(file_to_try(fixtures.content(f"{TO_TRY}.template"), calendar))
        cast = fixtures.cast()
        self._lines(f"\n{viewer.school.name}: what this week's checks showed", told.last_week(viewer, calendar))
        self._lines("\nWho can sign in", told.sign_ins(cast.people, told.pupils_of(viewer)))
        self.stdout.write(f"\nA file of scores to try on the page for files in and out: {path}")
        self.stdout.write("The school and everybody in it are invented, and only this computer can open it.")

    def _lines(self, head: str, lines: Iterable[str]) -> None:
        self.stdout.write(head)
        for line in lines:
            self.stdout.write(line)

    def _ready(self, address: str) -> None:
        self.stdout.write(f"\nOpen {address}   (Ctrl-C stops the demo)")
        self.stdout.flush()
