"""A lost second factor: the office takes it away, and nobody stays signed in."""

import pytest
from allauth.mfa.models import Authenticator

from tests import builders
from tests.actions.roster_scene import DAY, office_of, recorded, refused
from tracker.actions.errors import OutOfScope
from tracker.actions.factors import reset_factor
from tracker.models import ChangeRecord, UserSession

pytestmark = pytest.mark.django_db


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return office_of(school)


def with_factor(user):
    for kind in ("totp", "recovery_codes"):
        Authenticator.objects.create(user=user, type=kind, data={"secret": "kept"})
    UserSession.objects.create(
        user=user, session_key=f"elsewhere-{user.pk}", signed_in_at=builders.NOW, seen_at=builders.NOW
    )
    return user


def kept(user):
    return Authenticator.objects.filter(user=user).count(), UserSession.objects.filter(user=user).count()


def test_reset_takes_away_all_factors_and_sessions_of_this_person_only(school, office):
    user, other = (with_factor(builders.make_member(school, "teacher")) for _ in range(2))
    reset_factor(user_id=user.public_id, by=office, on=DAY)

    assert (kept(user), kept(other)) == ((0, 0), (2, 1))
    line = ChangeRecord.objects.get()
    assert (line.action, line.subject_key, line.by_key) == ("reset-factor", user.public_id, office.user.pk)
    assert line.before == {"factors": ["recovery_codes", "totp"]}


def test_reset_is_never_for_oneself(office):
    with_factor(office.user)
    what = {"user_id": office.user.public_id, "by": office, "on": DAY}

    assert refused(reset_factor, **what) == (
        "",
        "You can't reset your own second factor here; another office user can.",
    )
    assert (kept(office.user), recorded()) == ((2, 1), [])


def test_reset_leaves_an_account_that_another_school_relies_on(school, office):
    user = with_factor(builders.make_member(school, "teacher"))
    builders.join(user, builders.make_school("Mill School"), "teacher")
    sentence = "This account also belongs to another school, so its sign-in can't be changed here."

    assert refused(reset_factor, user_id=user.public_id, by=office, on=DAY) == ("", sentence)
    assert kept(user) == (2, 1)


def test_reset_without_a_factor_is_refused(school, office):
    user = builders.make_member(school, "teacher")

    assert refused(reset_factor, user_id=user.public_id, by=office, on=DAY) == (
        "", "This person has no second factor that could be reset."
    )  # fmt: skip


@pytest.mark.parametrize("role", ["teacher", "coordinator", "head"])
def test_reset_is_for_the_office(school, role):
    user, other = with_factor(builders.make_member(school, "teacher")), builders.make_member(school, role)

    with pytest.raises(OutOfScope):
        reset_factor(user_id=user.public_id, by=builders.viewer(other, school), on=DAY)
    assert kept(user) == (2, 1)


def test_reset_reaches_nobody_of_another_school(school):
    user = with_factor(builders.make_member(school, "teacher"))

    with pytest.raises(OutOfScope):
        reset_factor(user_id=user.public_id, by=office_of(builders.make_school("Mill School")), on=DAY)
    assert kept(user) == (2, 1)
