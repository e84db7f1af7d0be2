"""Prints how often the rules for "secure" pass simulated pupils whose true rate is known."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from tracker.measures.mastery_rates import PassRates, error_rates_table
from tracker.measures.rules import Rules
from tracker.models import School
from tracker.progress.rules import rules_of

HEAD = f"{'mark':>5} {'minutes':>7} {'true rate':>9} {'chance rule':>12} {'two running':>12} {'three running':>14}"


class Command(BaseCommand):
    help = (
        "Simulated pupils with a known rate sit twelve checks; the share that each rule ever calls secure is "
        "printed. Digits a minute; true rate as a share of the mark."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--pupils", type=int, default=20_000, help="simulated pupils a row")
        parser.add_argument("--school", default="", help="public id of a school whose own settings are used")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["pupils"] < 1 or options["seed"] < 0:
            raise CommandError("Pupils are at least 1 and the seed is at least 0.")
        rows = error_rates_table(options["seed"], pupils=options["pupils"], rules=_rules(options["school"]))
        self.stdout.write(
            f"Simulated, {options['pupils']} pupils a row, {rows[0].checks} checks, seed {options['seed']}"
        )
        self.stdout.write(HEAD)
        for row in rows:
            self.stdout.write(_line(row))


def _rules(school_id: str) -> Rules:
    if not school_id:
        return Rules()
    school = School.objects.filter(public_id=school_id).first()
    if school is None:
        raise CommandError(f"There is no school {school_id}.")
    return rules_of(school)


def _line(row: PassRates) -> str:
    shares = [row.chance, row.of("running", 2), row.of("running", 3)]
    chance, two, three = (f"{share:.1%}" for share in shares)
    return f"{row.mark:>5g} {row.minutes:>7g} {row.share_of_mark:>9.0%} {chance:>12} {two:>12} {three:>14}"
