"""The demo finds what a database holds and empties it only where nothing real can be lost."""

from datetime import date, timedelta

import pytest
from django.db import connection

from tests import builders
from tracker.management.demo import keeping
from tracker.models import School, User

TODAY = builders.TODAY
MONDAY = date(2026, 11, 16)


def make_demo(*, last_check):
    school = builders.make_school("Invented School", is_demo=True)
    builders.make_check(builders.make_class(school), on=last_check)
    return school


@pytest.mark.django_db
def test_empty_database_is_empty():
    assert keeping.state(today=TODAY) == keeping.EMPTY


@pytest.mark.django_db
@pytest.mark.parametrize("last_check", [MONDAY, TODAY])
def test_demo_of_this_week_is_kept(last_check):
    make_demo(last_check=last_check)

    assert keeping.state(today=TODAY) == keeping.THIS_WEEK


@pytest.mark.django_db
def test_demo_of_an_earlier_week_is_not_current():
    make_demo(last_check=MONDAY - timedelta(days=1))

    assert keeping.state(today=TODAY) == keeping.EARLIER


@pytest.mark.django_db
def test_real_school_is_refused_even_beside_a_demo():
    make_demo(last_check=TODAY)
    builders.make_school("Real School")

    with pytest.raises(keeping.RealSchool):
        keeping.state(today=TODAY)


@pytest.mark.django_db(transaction=True)
def test_emptying_a_given_database_takes_every_row():
    make_demo(last_check=TODAY)
    builders.make_user()
    assert keeping.own_file() is None

    keeping.empty()

    assert (School.objects.count(), User.objects.count()) == (0, 0)
    assert "tracker_school" in connection.introspection.table_names()


@pytest.mark.django_db
def test_emptying_the_demo_s_own_file_takes_the_file_and_what_lies_beside_it(tmp_path, monkeypatch, settings):
    names = ["demo.sqlite3", "demo.sqlite3-wal", "demo.sqlite3-shm", "demo-key"]
    for name in names:
        (tmp_path / name).touch()
    monkeypatch.setattr(keeping, "own_file", lambda: tmp_path / "demo.sqlite3")
    monkeypatch.setattr(keeping.connection, "close", lambda: None)

    keeping.empty()

    assert [path.name for path in tmp_path.iterdir()] == ["demo-key"]
