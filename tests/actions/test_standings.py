from datetime import timedelta

import pytest
from django.db import connection

from tests import builders as make
from tests.actions.scene import KEY, ON, make_scene
from tracker.actions.marks import set_mark
from tracker.actions.standings import rebuild, refresh
from tracker.models import Attempt, Flag, MasteryEvent, Standing

PLAIN = "sub-2d-plain"


@pytest.fixture
def scene(db):
    return make_scene()


def pair(pupil, key=KEY):
    return (pupil.pk, make.skill(key).pk)


def fresh(scene, *pairs):
    return refresh(school=scene.school, pairs=pairs, on=ON, at=make.NOW)


def rebuilt(scene, **fields):
    return rebuild(school=scene.school, on=ON, at=make.NOW, **fields)


def test_refresh_writes_series_and_current_row(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(40, 2), (44, 1), (48, 0)])

    fresh(scene, pair(pupil))

    current = Standing.objects.get(is_current=True)
    assert (current.stage, current.checks, current.last_rate, current.mean_rate) == ("quicker", 3, 24.0, 22.0)
    assert (current.growth, Standing.objects.filter(is_current=False).count()) == (pytest.approx(2.0), 1)


def test_refresh_leaves_other_pairs_alone(scene):
    anouk, ilse = scene.pupil(), scene.pupil("Ilse")
    for pupil in (anouk, ilse):
        make.make_history(pupil, [(40, 2)])
        make.make_history(pupil, [(40, 2)], PLAIN)
    fresh(scene, pair(anouk), pair(ilse), pair(anouk, PLAIN), pair(ilse, PLAIN))
    others = Standing.objects.exclude(pupil=anouk, skill__key=KEY).values()
    was = list(others)
    Attempt.objects.update(correct=10)

    fresh(scene, pair(anouk))

    assert list(others.all()) == was
    assert Standing.objects.get(pupil=anouk, skill__key=KEY, is_current=True).last_rate == 5.0


def test_series_that_lost_its_last_attempt_goes(scene):
    pupil = scene.pupil()
    (row,) = make.make_history(pupil, [(40, 2)])
    fresh(scene, pair(pupil))
    Attempt.objects.filter(pk=row.pk).update(mode="oral")

    fresh(scene, pair(pupil))

    assert list(Standing.objects.filter(is_current=False).values_list("mode", flat=True)) == ["oral"]


def test_nothing_to_refresh_asks_nothing(scene, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert fresh(scene) == []


# SQLite takes at most 999 values in a statement, so thirty pupils' sixty standings need a second one there.
@pytest.mark.parametrize(("size", "queries"), [(1, 8), (3, 8), (30, 9 if connection.vendor == "sqlite" else 8)])
def test_refresh_takes_the_same_statements_for_any_number_of_pupils(scene, size, queries, django_assert_num_queries):
    pupils = make.make_pupils(scene.group, size)
    for pupil in pupils:
        make.make_history(pupil, [(40, 2)] * 3)
    pairs = [pair(pupil) for pupil in pupils]

    with django_assert_num_queries(queries):
        fresh(scene, *pairs)


def test_rebuild_of_what_is_right_changes_nothing(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(40, 2), (44, 1), (48, 0)])
    make.make_history(pupil, [(40, 2)], PLAIN)
    fresh(scene, pair(pupil), pair(pupil, PLAIN))

    found = rebuilt(scene)

    assert (found.written, found.changed, dict(found.stages)) == (4, 0, {})


def test_rebuild_says_what_it_changed_and_touches_no_flag_nor_recorded_day(scene):
    pupil = scene.pupil()
    history = make.make_history(pupil, [(60, 0), (60, 0), (60, 0)])
    flag = make.make_flag(pupil)
    fresh(scene, pair(pupil))
    Attempt.objects.filter(pk=history[-1].pk).update(correct=10)

    looked = rebuilt(scene, look_only=True)
    assert Standing.objects.get(is_current=True).stage == "secure"
    found = rebuilt(scene)

    assert vars(looked) == vars(found)
    assert (found.written, found.changed, dict(found.stages)) == (2, 2, {"secure -> quicker": 1})
    assert Standing.objects.get(is_current=True).stage == "quicker"
    assert (list(Flag.objects.all()), MasteryEvent.objects.count()) == ([flag], 0)
    assert Flag.objects.get().state == "open"


def test_rebuild_removes_rows_without_an_attempt(scene):
    pupil = scene.pupil()
    make.make_standing(pupil)

    assert dict(rebuilt(scene).stages) == {"quicker -> none": 1}
    assert not Standing.objects.exists()


def test_only_stale_rows_are_worked_out_when_asked(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(40, 1)] * 3)
    make.make_history(pupil, [(40, 1)] * 3, PLAIN)
    fresh(scene, pair(pupil), pair(pupil, PLAIN))
    Attempt.objects.update(correct=60)
    Standing.objects.filter(skill__key=KEY, is_current=True).update(stale=True)

    found = rebuilt(scene, stale_only=True)

    assert (found.written, dict(found.stages)) == (2, {"quicker -> secure": 1})
    assert not Standing.objects.filter(stale=True).exists()
    assert rebuilt(scene, stale_only=True).written == 0


def test_mark_set_ahead_is_worked_in_on_its_day(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(40, 1)] * 3)
    fresh(scene, pair(pupil))
    coordinator = make.viewer(make.make_member(scene.school, "coordinator"), scene.school)
    begins = ON + timedelta(days=10)
    set_mark(skill_key=KEY, accuracy=0.9, rate=30, source="school", valid_from=begins, by=coordinator, on=ON)

    rebuilt(scene, stale_only=True)
    before = Standing.objects.get(is_current=True).mark_rate
    rebuild(school=scene.school, on=begins, at=make.NOW + timedelta(days=10), stale_only=True)

    assert (before, Standing.objects.get(is_current=True).mark_rate) == (20.0, 30.0)


def test_rebuild_stays_within_its_school(scene):
    other = make_scene(name="Mill Road School")
    make.make_history(other.pupil(), [(40, 1)] * 3)

    assert rebuilt(scene).written == 0
    assert not Standing.objects.exists()
