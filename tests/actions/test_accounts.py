"""Printed codes: who may make one, and that each opens the door once."""

import os
import subprocess
import sys
from datetime import timedelta

import pytest

from tests import builders
from tests.builders import TODAY
from tracker.actions import accounts
from tracker.actions.errors import OutOfScope, Refused
from tracker.models import AccessCode, ChangeRecord

BROWSERS = 6


@pytest.fixture
def school(db):
    return builders.make_school()


@pytest.fixture
def office(school):
    return builders.viewer(builders.make_member(school, "office"), school)


@pytest.mark.parametrize(
    ("role", "purpose", "days"), [("parent", "family", 28), ("teacher", "staff", 7), ("office", "staff", 7)]
)
def test_code_lasts_as_long_as_its_purpose_needs(school, office, role, purpose, days):
    user = builders.make_member(school, role)
    accounts.make_code(user_id=user.public_id, by=office, on=TODAY)

    row = AccessCode.objects.get()
    assert (row.user, row.school, row.purpose, row.created_by) == (user, school, purpose, office.user)
    assert row.expires_at - row.created_at == timedelta(days=days)


def test_code_is_recorded_without_the_code(school, office):
    user = builders.make_member(school, "parent")
    code = accounts.make_code(user_id=user.public_id, by=office, on=TODAY)

    record = ChangeRecord.objects.get(action="make-code")
    assert (record.by_key, record.subject_key, record.after) == (office.user.pk, user.public_id, {"purpose": "family"})
    assert code not in str(vars(record))


@pytest.mark.parametrize("role", ["teacher", "coordinator", "head", "parent"])
def test_code_is_made_by_the_office_only(school, role):
    viewer = builders.viewer(builders.make_member(school, role), school)

    with pytest.raises(OutOfScope):
        accounts.make_code(user_id=builders.make_member(school, "parent").public_id, by=viewer, on=TODAY)


def test_code_for_a_person_of_another_school_is_out_of_scope(office):
    stranger = builders.make_member(builders.make_school("Second School"), "parent")

    with pytest.raises(OutOfScope):
        accounts.make_code(user_id=stranger.public_id, by=office, on=TODAY)


def test_code_needs_a_role_that_holds(school, office):
    user = builders.make_user()
    builders.join(user, school, "parent", ends=TODAY - timedelta(days=1))

    with pytest.raises(Refused, match="a role that holds today"):
        accounts.make_code(user_id=user.public_id, by=office, on=TODAY)


SET_THE_SCENE = """
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.utils import timezone
from tests import builders
from tracker.actions import accounts
school = builders.make_school()
office = builders.viewer(builders.make_member(school, "office"), school)
parent = builders.make_member(school, "parent")
print(parent.username, accounts.make_code(user_id=parent.public_id, by=office, on=builders.TODAY))
"""
COME_IN = """
from django.utils import timezone
from tracker.actions import accounts
sys.stdin.readline()
print(bool(accounts.take_code(username=sys.argv[1], code=sys.argv[2], at=timezone.now())))
"""
START = "import sys, django\ndjango.setup()\n"


def start(database_url, program, *arguments):
    environment = os.environ | {"DATABASE_URL": database_url, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    return subprocess.Popen(
        [sys.executable, "-c", START + program, *arguments],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def test_code_lets_one_of_many_browsers_in(database_url):
    """Real processes that come at the same moment, on both databases."""
    name, code = start(database_url, SET_THE_SCENE).communicate()[0].split()
    browsers = [start(database_url, COME_IN, name, code) for _ in range(BROWSERS)]

    answers = []
    for browser in browsers:
        browser.stdin.write("now\n")
        browser.stdin.flush()
    for browser in browsers:
        answers.append(browser.communicate()[0].strip())

    assert sorted(answers) == ["False"] * (BROWSERS - 1) + ["True"]
