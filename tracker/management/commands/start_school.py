"""Makes a school with its first year and office user."""

from argparse import ArgumentParser
from datetime import date
from getpass import getpass
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from tracker.access.viewer import viewer_for
from tracker.actions.accounts import make_code
from tracker.actions.errors import Refused
from tracker.actions.schools import Started, start_school
from tracker.queries.names import tidy

QUESTIONS = {
    "name": "What is the school called?",
    "timezone": "In which time zone is it (as Europe/Oslo or America/Chicago)?",
    "year_name": "What is the school year called (as 2026/27)?",
    "year_starts": "Its first day, as year-month-day:",
    "year_ends": "Its last day, as year-month-day:",
    "office_name": "Who runs the office (full name)?",
    "office_username": "With which name will that person sign in?",
}
DAYS = ("year_starts", "year_ends")


class Command(BaseCommand):
    help = "Makes a school with its first year and office user. Asks for everything that is not given as an option."

    def add_arguments(self, parser: ArgumentParser) -> None:
        for name, question in QUESTIONS.items():
            parser.add_argument(f"--{name.replace('_', '-')}", dest=name, help=question)
        parser.add_argument("--password-stdin", action="store_true", help="Reads the password from standard input.")
        parser.add_argument(
            "--code", action="store_true", help="Prints a one-time code instead of asking for a password."
        )
        parser.add_argument(
            "--existing-account",
            action="store_true",
            help="The office user has an account already, from another school.",
        )
        parser.add_argument("--no-input", action="store_true", help="Asks nothing; what is missing is an error.")

    def handle(self, *args: Any, **options: Any) -> None:
        asks = not options["no_input"]
        existing = options["existing_account"]
        needed = [name for name in QUESTIONS if not (existing and name == "office_name")]
        values: dict[str, Any] = {name: self._value(name, options[name], asks=asks) for name in needed}
        password = "" if existing or options["code"] else self._password(asks=asks, piped=options["password_stdin"])
        try:
            started = start_school(
                **{"office_name": "", **values},
                password=password,
                existing_account=existing,
                on=timezone.localdate(),
            )
        except Refused as refused:
            raise CommandError(refused.sentence) from refused
        self._tell(started, with_code=not password and not existing)

    def _value(self, name: str, given: str | None, *, asks: bool) -> str | date:
        while True:
            text = given if given is not None or not asks else input(f"{QUESTIONS[name]} ")
            text = tidy(text or "")
            problem = "" if text else f"Something is needed here: {QUESTIONS[name]}"
            if text and name in DAYS:
                try:
                    return date.fromisoformat(text)
                except ValueError:
                    problem = f"“{text}” is no day; write it as year-month-day, for example 2026-09-07."
            if not problem:
                return text
            if given is not None or not asks:
                raise CommandError(problem)
            self.stderr.write(problem)

    def _password(self, *, asks: bool, piped: bool) -> str:
        if piped:
            return input()
        if not asks:
            return ""
        self.stdout.write("A password of at least 12 characters, or nothing for a one-time code.")
        first = getpass("Password: ")
        if first and getpass("The same once more: ") != first:
            raise CommandError("The two passwords differ; nothing was changed.")
        return first

    def _tell(self, started: Started, *, with_code: bool) -> None:
        school, office = started.school, started.office
        self.stdout.write(f"{school.name} is there, with the year {started.year.name}.")
        self.stdout.write(f"{office.name} signs in as {office.username} and finds everything else under People.")
        if not with_code:
            return
        viewer = viewer_for(office, now=timezone.now(), school_id=school.public_id)
        if viewer is None:
            raise CommandError("The office role does not hold yet, so no code could be made.")
        code = make_code(user_id=office.public_id, by=viewer, on=viewer.today)
        self.stdout.write(f"One-time code, shown only now: {code}")
