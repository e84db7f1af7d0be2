"""The command that makes a school."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests import builders
from tracker.actions.accounts import take_code
from tracker.models import School, User

pytestmark = pytest.mark.django_db
OPTIONS = {
    "name": "Lindenfeld Primary",
    "timezone": "Europe/Vienna",
    "year_name": "2026/27",
    "year_starts": "2026-09-07",
    "year_ends": "2027-07-02",
    "office_name": "Ottilie Brandt",
    "office_username": "office",
}


def start(**options):
    out = StringIO()
    call_command("start_school", stdout=out, stderr=StringIO(), **options)
    return out.getvalue()


def answers(monkeypatch, *given, passwords=()):
    """What is typed at each question; running out of answers fails the test."""
    lines, secrets = iter(given), iter(passwords)
    monkeypatch.setattr("builtins.input", lambda prompt="": next(lines))
    monkeypatch.setattr("tracker.management.commands.start_school.getpass", lambda prompt="": next(secrets))


def test_start_school_by_options_prints_a_code_that_lets_the_office_in():
    from django.utils import timezone

    told = start(**OPTIONS, no_input=True)
    code = told.rpartition(": ")[2].strip()

    assert told.startswith("Lindenfeld Primary is there, with the year 2026/27.\nOttilie Brandt signs in as office")
    assert take_code(username="office", code=code, at=timezone.now()).user.name == "Ottilie Brandt"


def test_start_school_asks_for_what_is_missing_and_again_for_what_is_wrong(monkeypatch):
    answers(
        monkeypatch,
        *("", "Lindenfeld Primary", "Europe/Vienna", "2026/27", "7.9.2026", "2026-09-07", "2027-07-02"),
        *("Ottilie Brandt", "office"),
        passwords=(builders.PASSWORD, builders.PASSWORD),
    )
    told = start()

    assert User.objects.get().check_password(builders.PASSWORD)
    assert "One-time code" not in told


def test_start_school_password_from_standard_input(monkeypatch):
    answers(monkeypatch, builders.PASSWORD)
    start(**OPTIONS, no_input=True, password_stdin=True)

    assert User.objects.get().check_password(builders.PASSWORD)


def test_start_school_two_passwords_that_differ(monkeypatch):
    answers(monkeypatch, passwords=(builders.PASSWORD, "seven brown brooks"))
    with pytest.raises(CommandError, match="differ; nothing was changed"):
        start(**OPTIONS)

    assert School.objects.count() == 0


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": None}, "What is the school called"),
        ({"year_starts": "7.9.2026"}, "“7.9.2026” is no day; write it as year-month-day"),
        ({"timezone": "Vienna"}, "“Vienna” is no time zone"),
        ({"year_ends": "2026-09-01"}, "The last day must come after the first day."),
    ],
)
def test_start_school_says_what_is_wrong(changes, sentence):
    with pytest.raises(CommandError, match=sentence):
        start(**{**OPTIONS, **changes}, no_input=True)

    assert School.objects.count() == 0


def test_start_school_same_name_twice_is_refused():
    start(**OPTIONS, no_input=True)
    with pytest.raises(CommandError, match="already a school called “LINDENFELD PRIMARY”; nothing was changed"):
        start(**{**OPTIONS, "name": "LINDENFELD PRIMARY", "office_username": "other"}, no_input=True)

    assert (School.objects.count(), User.objects.count()) == (1, 1)


def test_start_school_second_school_with_the_same_office_user():
    start(**OPTIONS, no_input=True)
    second = {**OPTIONS, "name": "Second", "office_name": None}
    told = start(**second, no_input=True, existing_account=True)

    assert "One-time code" not in told
    assert User.objects.get().memberships.count() == 2
