from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from tests import builders as make
from tests.actions.scene import ON, make_scene
from tracker.actions.scores import Typed
from tracker.models import ChangeRecord, Flag, SaveKey, Standing


@pytest.fixture
def clock(monkeypatch):
    def at(moment):
        monkeypatch.setattr("django.utils.timezone.now", lambda: moment)

    at(datetime(2026, 11, 20, 18, 0, tzinfo=UTC))
    return at


def daily():
    out = StringIO()
    call_command("daily", stdout=out)
    return out.getvalue()


def test_day_closes_works_out_and_flags_and_says_so(db, clock):
    scene = make_scene()
    pupil = scene.pupil()
    check = make.make_check(scene.group, on=ON - timedelta(weeks=4))
    make.make_attempt(check, pupil, correct=30, wrong=1)

    said = daily()

    assert said == (
        f"{scene.school.public_id} 2026-11-20: checks closed 1, standings worked out 0, flags raised 1, flags ended 0\n"
    )
    assert Flag.objects.get().kind == "no-recent-check"
    assert Standing.objects.filter(pupil=pupil, is_current=True).count() == 1


def test_running_it_twice_changes_nothing(db, clock):
    scene = make_scene()
    make.make_attempt(make.make_check(scene.group, on=ON - timedelta(weeks=4)), scene.pupil(), correct=30)
    daily()
    rows = [list(model.objects.values()) for model in (Flag, Standing, ChangeRecord)]

    said = daily()

    assert said.endswith("checks closed 0, standings worked out 0, flags raised 0, flags ended 0\n")
    assert [list(model.objects.values()) for model in (Flag, Standing, ChangeRecord)] == rows


def test_every_school_has_its_own_day(db, clock):
    clock(datetime(2026, 11, 20, 18, 0, tzinfo=UTC))
    make_scene(timezone="America/Lima")
    make_scene(name="Mill Road School", timezone="Pacific/Auckland")

    assert [line.split()[1] for line in daily().splitlines()] == ["2026-11-20:", "2026-11-21:"]


def test_keys_that_no_browser_can_repeat_are_forgotten(db, clock):
    scene = make_scene()
    row = scene.row(scene.pupil())
    scene.save(row, Typed(correct=30, wrong=0), key="old")
    SaveKey.objects.update(at=datetime(2026, 10, 1, tzinfo=UTC))
    scene.save(row, Typed(correct=31, wrong=0), key="new", base_version=1)

    daily()

    assert list(SaveKey.objects.values_list("key", flat=True)) == ["new"]
