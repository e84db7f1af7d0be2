"""Groups and lists open pupils to assistants and providers, from their first day on and to nobody else."""

import pytest

from tests import builders
from tracker.access import scopes
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.groups import add_group, assign_provider
from tracker.models import ChangeRecord

pytestmark = pytest.mark.django_db
TODAY = builders.TODAY


@pytest.fixture
def office():
    school = builders.make_school()
    return builders.viewer(builders.make_member(school, "office"))


def test_group_opens_its_pupils_to_its_holder(office):
    user = builders.make_member(office.school, "assistant")
    inside, _outside = builders.make_pupils(builders.make_class(office.school), 2)

    add_group(name="Tuesday", holder_id=user.public_id, pupil_ids=[inside.public_id], starts=TODAY, by=office, on=TODAY)

    assert list(scopes.pupils(builders.viewer(user))) == [inside]
    assert list(ChangeRecord.objects.values_list("action", "subject")) == [("add-group", "group")]


def test_group_holder_without_the_role_is_refused(office):
    teacher = builders.make_member(office.school, "teacher")

    with pytest.raises(Refused) as refused:
        add_group(name="Tuesday", holder_id=teacher.public_id, pupil_ids=[], starts=TODAY, by=office, on=TODAY)
    assert refused.value.field == "user_id"


def test_group_with_a_pupil_of_another_school_is_out_of_scope(office):
    user = builders.make_member(office.school, "assistant")
    [stranger] = builders.make_pupils(builders.make_class(builders.make_school("Far School")), 1)

    with pytest.raises(OutOfScope):
        add_group(
            name="Tuesday", holder_id=user.public_id, pupil_ids=[stranger.public_id], starts=TODAY, by=office, on=TODAY
        )


def test_assigned_pupil_is_on_the_provider_s_list_once(office):
    user = builders.make_member(office.school, "provider")
    mine, _other = builders.make_pupils(builders.make_class(office.school), 2)
    same = {"user_id": user.public_id, "pupil_id": mine.public_id, "starts": TODAY, "by": office, "on": TODAY}

    assign_provider(**same)

    assert list(scopes.pupils(builders.viewer(user))) == [mine]
    with pytest.raises(Refused) as refused:
        assign_provider(**same)
    assert refused.value.field == "pupil_id"


def test_teachers_make_no_groups(office):
    teacher = builders.viewer(builders.make_member(office.school, "teacher"))

    with pytest.raises(OutOfScope):
        add_group(name="Tuesday", holder_id="x", pupil_ids=[], starts=TODAY, by=teacher, on=TODAY)
