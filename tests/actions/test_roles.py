"""Dated roles, classes given, and cover for one day."""

from datetime import date, timedelta

import pytest

from tests import builders
from tests.actions.roster_scene import office_of, recorded, refused
from tests.builders import TODAY, YEAR_STARTS
from tracker.access import scopes
from tracker.actions.errors import OutOfScope
from tracker.actions.roles import end_class, end_role, give_class, give_cover, give_role
from tracker.models import Membership, Teaching

pytestmark = pytest.mark.django_db
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return office_of(school)


@pytest.fixture
def who(office):
    return {"by": office, "on": TODAY}


@pytest.fixture
def teacher(school):
    return builders.make_member(school, "teacher", "Tomasz Zieliński")


@pytest.fixture
def otter(school):
    return builders.make_class(school, "Otter")


def test_give_role_twice_over_the_same_days_is_refused(who, teacher):
    give_role(user_id=teacher.public_id, role="coordinator", starts=TODAY, ends=TOMORROW, **who)
    values = {"user_id": teacher.public_id, "role": "coordinator", **who}

    assert refused(give_role, starts=TOMORROW, **values) == (
        "role",
        "The person already has this role from 20 November 2026.",
    )
    assert give_role(starts=TOMORROW + timedelta(days=1), **values).ends is None


@pytest.mark.parametrize(("role", "ends", "field"), [("cover", None, "role"), ("head", date(2026, 1, 1), "ends")])
def test_give_role_refuses(who, teacher, role, ends, field):
    assert refused(give_role, user_id=teacher.public_id, role=role, starts=TODAY, ends=ends, **who)[0] == field


def test_give_role_to_somebody_of_another_school_is_out_of_scope(who):
    stranger = builders.make_member(builders.make_school("Mill School"), "teacher")
    with pytest.raises(OutOfScope):
        give_role(user_id=stranger.public_id, role="office", starts=TODAY, **who)


def test_end_role_of_a_teacher_ends_the_classes_too(who, teacher, otter):
    row = give_class(user_id=teacher.public_id, class_id=otter.public_id, starts=YEAR_STARTS, **who)
    end_role(membership_id=teacher.memberships.get().public_id, ends=TODAY, **who)
    row.refresh_from_db()

    assert (teacher.memberships.get().ends, row.ends) == (TODAY, TODAY)
    assert recorded() == ["give-class", "end-role", "end-class"]


def test_end_role_of_the_only_office_user_is_refused(who, office, school, teacher):
    own = Membership.objects.get(user=office.user)
    place, sentence = refused(end_role, membership_id=own.public_id, ends=TODAY, **who)
    give_role(user_id=teacher.public_id, role="office", starts=TOMORROW, **who)
    end_role(membership_id=own.public_id, ends=TODAY, **who)
    own.refresh_from_db()

    assert (place, "only office user" in sentence) == ("ends", True)
    assert own.ends == TODAY


def test_end_role_before_it_began_is_refused(who, teacher):
    row = teacher.memberships.get()

    assert refused(end_role, membership_id=row.public_id, ends=YEAR_STARTS - timedelta(days=1), **who) == (
        "ends",
        "It began on 7 September 2026 and can't end before that.",
    )


def test_give_class_lets_the_teacher_in(who, teacher, otter, school):
    give_class(user_id=teacher.public_id, class_id=otter.public_id, starts=TODAY, **who)

    assert list(scopes.classes(builders.viewer(teacher, school))) == [otter]


def test_give_class_needs_a_teacher(who, school, otter):
    parent = builders.make_member(school, "parent")

    assert refused(give_class, user_id=parent.public_id, class_id=otter.public_id, starts=TODAY, **who)[0] == "user_id"
    assert Teaching.objects.count() == 0


@pytest.mark.parametrize(
    ("starts", "ends", "field"),
    [
        (date(2026, 9, 6), None, "starts"),
        (date(2027, 7, 3), None, "starts"),
        (TODAY, date(2027, 8, 1), "ends"),
        (TODAY, TODAY - timedelta(days=1), "ends"),
    ],
)
def test_give_class_outside_the_year_is_refused(who, teacher, otter, starts, ends, field):
    values = {"user_id": teacher.public_id, "class_id": otter.public_id, **who}

    assert refused(give_class, starts=starts, ends=ends, **values)[0] == field


def test_give_class_twice_is_refused_and_two_teachers_are_not(who, teacher, otter, school):
    values = {"class_id": otter.public_id, "starts": TODAY, **who}
    give_class(user_id=teacher.public_id, **values)
    give_class(user_id=builders.make_member(school, "teacher", "Ida").public_id, **values)

    assert refused(give_class, user_id=teacher.public_id, **values)[0] == "user_id"
    assert Teaching.objects.count() == 2


def test_end_class_takes_effect_with_its_day(who, teacher, otter, school):
    row = give_class(user_id=teacher.public_id, class_id=otter.public_id, starts=YEAR_STARTS, **who)
    end_class(teaching_id=row.public_id, ends=TODAY, **who)
    later = builders.viewer(teacher, school, now=builders.NOW + timedelta(days=1))

    assert list(scopes.classes(builders.viewer(teacher, school))) == [otter]
    assert list(scopes.classes(later)) == []


def test_give_cover_is_for_one_day_and_brings_the_role(who, otter, school):
    person = builders.make_member(school, "assistant", "Cleo")
    row = give_cover(user_id=person.public_id, class_id=otter.public_id, day=TODAY, **who)
    viewer = builders.viewer(person, school)

    assert (row.cover, row.starts, row.ends) == (True, TODAY, TODAY)
    assert viewer.roles == {"assistant", "cover"}
    assert list(scopes.classes_to_enter(viewer)) == [otter]
    assert list(scopes.classes(viewer)) == []


def test_give_cover_of_two_classes_on_one_day(who, otter, school):
    plover = builders.make_class(school, "Plover")
    person = builders.make_member(school, "assistant", "Cleo")
    for group in (otter, plover):
        give_cover(user_id=person.public_id, class_id=group.public_id, day=TODAY, **who)

    assert Membership.objects.filter(user=person, role="cover").count() == 1
    assert set(scopes.classes_to_enter(builders.viewer(person, school))) == {otter, plover}


def test_give_cover_refuses(who, otter, teacher):
    values = {"class_id": otter.public_id, "user_id": teacher.public_id, **who}
    give_class(starts=TODAY, **values)
    past = refused(give_cover, day=TODAY - timedelta(days=1), **values)
    outside = refused(give_cover, day=date(2027, 8, 2), **values)
    own = refused(give_cover, day=TODAY, **values)

    assert [place for place, _ in (past, outside, own)] == ["day", "day", "user_id"]
    assert not Teaching.objects.filter(cover=True).exists()


def test_end_class_is_not_for_cover(who, otter, school):
    person = builders.make_member(school, "assistant", "Cleo")
    row = give_cover(user_id=person.public_id, class_id=otter.public_id, day=TODAY, **who)

    assert refused(end_class, teaching_id=row.public_id, ends=TODAY, **who) == (
        "ends",
        "Cover ends by itself after its day.",
    )
