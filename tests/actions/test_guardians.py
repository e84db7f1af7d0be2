"""Links between family members and children."""

from datetime import timedelta

import pytest

from tests import builders
from tests.actions.roster_scene import office_of, recorded, refused
from tests.builders import TODAY, YEAR_STARTS
from tracker.access import scopes
from tracker.actions.errors import OutOfScope
from tracker.actions.guardians import add_guardian, end_guardian, link_guardian
from tracker.models import ChangeRecord, Guardian, User

pytestmark = pytest.mark.django_db


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def who(school):
    return {"by": office_of(school), "on": TODAY}


@pytest.fixture
def otter(school):
    return builders.make_class(school, "Otter")


@pytest.fixture
def child(otter):
    return builders.make_pupil(otter)


def children(user, school):
    return list(scopes.children(builders.viewer(user, school)))


def test_add_guardian_makes_account_role_and_link(who, child, school):
    link = add_guardian(pupil_id=child.public_id, name="Marit Berg", starts=TODAY, language="ar", **who)

    assert (link.user.username, link.language, link.channel) == ("marit.berg", "ar", "paper")
    assert children(link.user, school) == [child]
    assert recorded() == ["add-person", "give-role", "link-guardian"]
    assert ChangeRecord.objects.get(action="link-guardian").pupil_key == child.public_id


def test_add_guardian_refused_leaves_no_account(who, child):
    taken = builders.make_user(username="marit")

    assert (
        refused(add_guardian, pupil_id=child.public_id, name="Marit", username="MARIT", starts=TODAY, **who)[0]
        == "username"
    )
    assert list(User.objects.filter(username__iexact="marit")) == [taken]
    assert Guardian.objects.count() == 0


def test_link_guardian_second_child_needs_no_second_role(who, child, otter, school):
    first = add_guardian(pupil_id=child.public_id, name="Marit Berg", starts=TODAY, **who)
    sibling = builders.make_pupil(otter, "Ole")
    link_guardian(user_id=first.user.public_id, pupil_id=sibling.public_id, starts=TODAY, **who)

    assert set(children(first.user, school)) == {child, sibling}
    assert first.user.memberships.count() == 1


def test_link_guardian_teacher_is_a_parent_too(who, child, school):
    teacher = builders.make_member(school, "teacher")
    link_guardian(user_id=teacher.public_id, pupil_id=child.public_id, starts=TODAY, **who)

    assert builders.viewer(teacher, school).roles == {"teacher", "parent"}


def test_link_guardian_twice_is_refused(who, child):
    link = add_guardian(pupil_id=child.public_id, name="Marit Berg", starts=TODAY, **who)
    again = {"user_id": link.user.public_id, "pupil_id": child.public_id, "starts": TODAY + timedelta(days=9), **who}

    assert refused(link_guardian, **again) == (
        "user_id",
        "This person is already linked to the child from 20 November 2026.",
    )


def test_link_guardian_across_schools_is_out_of_scope(who, child):
    stranger = builders.make_member(builders.make_school("Mill School"), "parent")
    with pytest.raises(OutOfScope):
        link_guardian(user_id=stranger.public_id, pupil_id=child.public_id, starts=TODAY, **who)


def test_end_guardian_takes_effect_and_ends_the_role_with_the_last_child(who, child, otter, school):
    first = add_guardian(pupil_id=child.public_id, name="Marit Berg", starts=YEAR_STARTS, **who)
    sibling = builders.make_pupil(otter, "Ole")
    second = link_guardian(user_id=first.user.public_id, pupil_id=sibling.public_id, starts=YEAR_STARTS, **who)
    yesterday = TODAY - timedelta(days=1)
    end_guardian(guardian_id=first.public_id, ends=yesterday, **who)
    left = children(first.user, school)
    end_guardian(guardian_id=second.public_id, ends=yesterday, **who)

    assert left == [sibling]
    assert first.user.memberships.get().ends == yesterday


def test_end_guardian_before_it_began_is_refused(who, child):
    link = add_guardian(pupil_id=child.public_id, name="Marit Berg", starts=TODAY, **who)

    assert refused(end_guardian, guardian_id=link.public_id, ends=TODAY - timedelta(days=1), **who)[0] == "ends"
