"""Who is looking, at which school, on which day."""

from datetime import UTC, date, datetime, timedelta

import pytest

from tests import builders
from tests.builders import NOW, TODAY
from tracker.access.viewer import today_at, viewer_for

pytestmark = pytest.mark.django_db


def test_roles_hold_from_the_first_to_the_last_day():
    school, user = builders.make_school(), builders.make_user()
    builders.join(user, school, "teacher", starts=TODAY, ends=TODAY + timedelta(days=1))

    found = [viewer_for(user, now=NOW + timedelta(days=days)) for days in (-1, 0, 1, 2)]

    assert [viewer and set(viewer.roles) for viewer in found] == [None, {"teacher"}, {"teacher"}, None]


@pytest.mark.parametrize(
    ("zone", "day"), [("Pacific/Auckland", date(2026, 11, 21)), ("UTC", TODAY), ("America/Lima", TODAY)]
)
def test_today_is_the_schools_own(zone, day):
    school = builders.make_school(timezone=zone)

    assert today_at(school, now=datetime(2026, 11, 20, 14, 0, tzinfo=UTC)) == day


def test_cover_of_the_day_counts_by_the_schools_day():
    school, user = builders.make_school(timezone="Pacific/Auckland"), builders.make_user()
    builders.join(user, school, "cover", starts=date(2026, 11, 21), ends=date(2026, 11, 21))

    viewer = viewer_for(user, now=datetime(2026, 11, 20, 14, 0, tzinfo=UTC))

    assert viewer is not None
    assert (viewer.today, set(viewer.roles)) == (date(2026, 11, 21), {"cover"})


def test_several_roles_at_a_school_come_together():
    school, user = builders.make_school(), builders.make_user()
    for role in ("teacher", "coordinator", "parent"):
        builders.join(user, school, role)

    assert builders.viewer(user).roles == {"teacher", "coordinator", "parent"}


def test_two_schools_never_mix():
    one, two, user = builders.make_school("One"), builders.make_school("Two"), builders.make_user()
    builders.join(user, one, "teacher")
    builders.join(user, two, "office")

    first, second = builders.viewer(user, one), builders.viewer(user, two)

    assert (first.school, first.roles, first.schools) == (one, {"teacher"}, (one, two))
    assert (second.school, second.roles) == (two, {"office"})


def test_school_that_is_not_open_gives_way_to_one_that_is():
    one, two, user = builders.make_school("One"), builders.make_school("Two"), builders.make_user()
    builders.join(user, one, "teacher")

    viewer = viewer_for(user, now=NOW, school_id=two.public_id)

    assert viewer is not None
    assert viewer.school == one


def test_code_of_a_school_opens_that_school_only():
    one, two, user = builders.make_school("One"), builders.make_school("Two"), builders.make_user()
    builders.join(user, one, "teacher")
    builders.join(user, two, "office")

    viewer = viewer_for(user, now=NOW, school_id=one.public_id, only_school=two.public_id)

    assert viewer is not None
    assert (viewer.school, viewer.roles, viewer.schools) == (two, {"office"}, (two,))


@pytest.mark.parametrize("number", [1, 3])
def test_viewer_costs_one_statement(number, django_assert_num_queries):
    user = builders.make_user()
    for n in range(number):
        builders.join(user, builders.make_school(f"School {n}"), "teacher")

    with django_assert_num_queries(1):
        viewer = viewer_for(user, now=NOW)

    assert viewer is not None
    assert len(viewer.schools) == number
