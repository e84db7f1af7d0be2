from datetime import date, timedelta

import pytest

from tests import builders as make
from tests.actions.scene import KEY, make_scene
from tracker.actions.flags import raise_clock_flags
from tracker.measures.ladder import propose
from tracker.models import Break, ChangeRecord, Flag

MONDAY = date(2026, 11, 16)


@pytest.fixture
def scene(db):
    return make_scene()


def checked(scene, pupil, on, key=KEY, **counts):
    check = make.make_check(scene.group, on=on, state="closed", closed_at=make.NOW)
    return make.make_attempt(check, pupil, key, **{"correct": 30, "wrong": 3, **counts})


@pytest.mark.parametrize(("weeks", "raised"), [(2, 0), (3, 1)])
def test_three_school_weeks_without_a_check_raise_a_flag(scene, weeks, raised):
    checked(scene, scene.pupil(), MONDAY - timedelta(weeks=weeks))

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (raised, 0)
    assert Flag.objects.count() == raised


def test_evidence_says_since_when(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4))

    raise_clock_flags(school=scene.school, on=MONDAY)

    flag = Flag.objects.get()
    assert (flag.kind, flag.pupil, flag.skill.key, flag.raised_on, flag.attempts_then) == (
        "no-recent-check", pupil, KEY, MONDAY, 1
    )  # fmt: skip
    assert flag.evidence == {"last_on": "2026-10-19", "weeks": 4, "checked": True}
    line = ChangeRecord.objects.get(action="raise-flag")
    assert (line.school_key, line.by_key, line.pupil_key) == (scene.school.pk, None, pupil.public_id)


def test_running_it_again_changes_nothing(scene):
    checked(scene, scene.pupil(), MONDAY - timedelta(weeks=4))

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (1, 0)
    assert raise_clock_flags(school=scene.school, on=MONDAY) == (0, 0)
    assert raise_clock_flags(school=scene.school, on=MONDAY + timedelta(days=1)) == (0, 0)


def test_weeks_of_a_break_are_not_counted(scene):
    Break.objects.create(
        school=scene.school, year=scene.group.year, name="Autumn", starts=date(2026, 10, 26), ends=date(2026, 10, 30)
    )
    checked(scene, scene.pupil(), date(2026, 10, 19))

    assert raise_clock_flags(school=scene.school, on=date(2026, 11, 9)) == (0, 0)
    assert raise_clock_flags(school=scene.school, on=MONDAY) == (1, 0)


def test_flag_ends_when_there_was_a_check_since(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4))
    raise_clock_flags(school=scene.school, on=MONDAY)
    checked(scene, pupil, MONDAY)

    assert raise_clock_flags(school=scene.school, on=MONDAY + timedelta(days=1)) == (0, 1)

    flag = Flag.objects.get()
    assert (flag.state, flag.ended_why) == ("closed", "There has been a check since.")


def test_being_absent_is_no_check(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4))
    make.make_attempt(make.make_check(scene.group, on=MONDAY - timedelta(weeks=1)), pupil, status="absent")

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (1, 0)


def test_check_at_home_is_one(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4))
    checked(scene, pupil, MONDAY - timedelta(weeks=1), setting="home")

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (0, 0)


def test_skill_that_is_behind_the_pupil_is_not_missed(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=6), "sub-2d-plain")
    checked(scene, pupil, MONDAY - timedelta(weeks=1))

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (0, 0)


@pytest.mark.parametrize(("weeks", "raised"), [(0, 0), (2, 0), (3, 1)])
def test_older_skill_is_missed_three_weeks_after_the_other_became_secure(scene, weeks, raised):
    """The facts of September were left for a harder skill: their turn begins when that one is secure."""
    pupil, secure_on = scene.pupil(), MONDAY - timedelta(weeks=weeks)
    checked(scene, pupil, MONDAY - timedelta(weeks=9), "sub-facts-20")
    checked(scene, pupil, secure_on)
    make.make_standing(pupil, "sub-facts-20", stage="learning")
    make.make_standing(pupil, stage="secure", secure_on=secure_on)

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (raised, 0)
    assert [(flag.skill.key, flag.evidence) for flag in Flag.objects.all()] == [
        ("sub-facts-20", {"last_on": "2026-10-26", "weeks": 3, "checked": False})
    ] * raised


def test_keeping_another_skill_does_not_put_off_the_current_one(scene):
    """Secure long ago and checked again last week: the pupil was on the facts all the time."""
    pupil = scene.pupil()
    make.make_standing(pupil, stage="kept", secure_on=MONDAY - timedelta(weeks=9), kept_on=MONDAY - timedelta(weeks=1))
    checked(scene, pupil, MONDAY - timedelta(weeks=1))
    checked(scene, pupil, MONDAY - timedelta(weeks=4), "sub-facts-20")

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (1, 0)

    flag = Flag.objects.get()
    assert (flag.skill.key, flag.evidence) == ("sub-facts-20", {"last_on": "2026-10-19", "weeks": 4, "checked": True})


def test_flag_of_an_older_skill_ends_with_a_check_of_it(scene):
    pupil, secure_on = scene.pupil(), MONDAY - timedelta(weeks=3)
    checked(scene, pupil, MONDAY - timedelta(weeks=9), "sub-facts-20")
    make.make_standing(pupil, stage="secure", secure_on=secure_on)
    assert raise_clock_flags(school=scene.school, on=MONDAY) == (1, 0)
    checked(scene, pupil, MONDAY, "sub-facts-20")

    assert raise_clock_flags(school=scene.school, on=MONDAY + timedelta(days=1)) == (0, 1)

    assert Flag.objects.get().ended_why == "There has been a check since."


def test_flag_ends_when_the_pupil_was_checked_on_another_skill_and_is_on_that_now(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4), "sub-facts-20")
    raise_clock_flags(school=scene.school, on=MONDAY)
    checked(scene, pupil, MONDAY)

    assert raise_clock_flags(school=scene.school, on=MONDAY + timedelta(days=1)) == (0, 1)

    flag = Flag.objects.get()
    assert (flag.skill.key, flag.state) == ("sub-facts-20", "closed")
    assert flag.ended_why == "The pupil has been checked on another skill since, and is on that one now."


def test_flag_stands_while_only_a_secure_skill_is_checked(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4), "sub-facts-20")
    make.make_standing(pupil, stage="secure", secure_on=MONDAY - timedelta(weeks=8))
    raise_clock_flags(school=scene.school, on=MONDAY)
    checked(scene, pupil, MONDAY)

    assert raise_clock_flags(school=scene.school, on=MONDAY + timedelta(days=1)) == (0, 0)


@pytest.mark.parametrize(("on", "raised"), [(date(2026, 9, 21), 0), (date(2026, 9, 28), 1)])
def test_holidays_before_the_year_are_not_counted(scene, on, raised):
    checked(scene, scene.pupil(), date(2026, 6, 22))

    assert raise_clock_flags(school=scene.school, on=on) == (raised, 0)


def test_skill_that_the_school_does_not_use_is_not_missed(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4), "sub-facts-20")
    checked(scene, pupil, MONDAY - timedelta(weeks=5))
    scene.school.skills_off = ["sub-facts-20"]

    raise_clock_flags(school=scene.school, on=MONDAY)

    assert [flag.skill.key for flag in Flag.objects.all()] == [KEY]


def test_next_skill_passes_over_what_the_school_does_not_use(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4))
    make.make_standing(pupil, stage="secure", secure_on=MONDAY - timedelta(weeks=4))
    usual = propose({KEY: "secure"}, grade=3)
    scene.school.skills_off = [usual]

    raise_clock_flags(school=scene.school, on=MONDAY)

    assert [flag.skill.key for flag in Flag.objects.all()] == [propose({KEY: "secure"}, grade=3, off=[usual])]


def test_next_skill_is_missed_once_the_last_one_is_secure(scene):
    pupil = scene.pupil()
    checked(scene, pupil, MONDAY - timedelta(weeks=4))
    make.make_standing(pupil, stage="secure", secure_on=MONDAY - timedelta(weeks=4))

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (1, 0)

    flag = Flag.objects.get()
    assert flag.skill.key != KEY
    assert flag.evidence == {"last_on": "2026-10-19", "weeks": 4, "checked": False}


def test_pupil_who_was_never_checked_is_missed_from_the_classs_first_check_on(scene):
    checked(scene, scene.pupil(), MONDAY - timedelta(weeks=3))
    checked(scene, scene.pupil("Ilse"), MONDAY)
    never = scene.pupil("Oskar")

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (2, 0)

    assert Flag.objects.get(pupil=never).evidence == {"last_on": "2026-10-26", "weeks": 3, "checked": False}


def test_class_without_any_check_is_left_in_peace(scene):
    scene.pupil()

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (0, 0)


def test_pupil_who_left_is_not_missed(scene):
    pupil = scene.pupil(left_on=date(2026, 11, 1))
    checked(scene, pupil, MONDAY - timedelta(weeks=4))

    assert raise_clock_flags(school=scene.school, on=MONDAY) == (0, 0)


def test_flag_that_a_person_closed_does_not_come_back_next_day(scene):
    checked(scene, scene.pupil(), MONDAY - timedelta(weeks=4))
    raise_clock_flags(school=scene.school, on=MONDAY)
    Flag.objects.update(state="closed", ended_at=make.NOW, ended_why="In hospital")

    assert raise_clock_flags(school=scene.school, on=MONDAY + timedelta(weeks=2)) == (0, 0)


@pytest.mark.parametrize("size", [1, 3, 30])
def test_number_of_statements_does_not_grow_with_the_school(scene, size, django_assert_num_queries):
    for pupil in make.make_pupils(scene.group, size):
        checked(scene, pupil, MONDAY - timedelta(weeks=4))

    # The savepoint of the test's own transaction adds two.
    with django_assert_num_queries(11 + 2):
        raise_clock_flags(school=scene.school, on=MONDAY)
