"""Groups and lists open pupils to assistants and providers, from their first day on and to nobody else."""

from datetime import timedelta

import pytest

from tests import builders
from tracker.access import scopes
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.groups import (
    add_group,
    assign_provider,
    end_assignment,
    end_group,
    put_in_group,
    take_from_group,
)
from tracker.models import ChangeRecord

pytestmark = pytest.mark.django_db
TODAY = builders.TODAY
TOMORROW = TODAY + timedelta(days=1)


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


@pytest.fixture
def assistant(office):
    return builders.make_member(office.school, "assistant")


@pytest.fixture
def group(office, assistant):
    return add_group(name="Tuesday", holder_id=assistant.public_id, starts=TODAY, by=office, on=TODAY)


@pytest.fixture
def pupil(office):
    return builders.make_pupil(builders.make_class(office.school))


def seen(user, school, day):
    return list(scopes.pupils(builders.viewer(user, school, now=builders.NOW + (day - TODAY))))


def test_pupil_put_in_is_seen_by_the_holder_until_taken_out(office, assistant, group, pupil):
    one = {"group_id": group.public_id, "pupil_id": pupil.public_id, "by": office, "on": TODAY}
    put_in_group(**one, starts=TODAY)
    take_from_group(**one, ends=TODAY)

    assert [seen(assistant, office.school, day) for day in (TODAY, TOMORROW)] == [[pupil], []]
    lines = ChangeRecord.objects.filter(pupil_key=pupil.public_id).order_by("id")
    assert list(lines.values_list("action", "before", "after")) == [
        ("put-in-group", None, {"starts": "2026-11-20"}),
        ("take-from-group", {"ends": None}, {"ends": "2026-11-20"}),
    ]


def test_pupil_is_in_a_group_once_at_a_time(office, group, pupil):
    one = {"group_id": group.public_id, "pupil_id": pupil.public_id, "by": office, "on": TODAY}
    put_in_group(**one, starts=TODAY)

    with pytest.raises(Refused) as refused:
        put_in_group(**one, starts=TOMORROW)
    assert (refused.value.field, refused.value.sentence) == ("pupil_id", "The pupil is in this group already.")
    take_from_group(**one, ends=TODAY)
    assert put_in_group(**one, starts=TOMORROW).starts == TOMORROW


@pytest.mark.parametrize(
    ("days", "sentence"),
    [
        (-1, "On this day there is no such group: it lasts from 20 November 2026 to 27 November 2026."),
        (8, "On this day there is no such group: it lasts from 20 November 2026 to 27 November 2026."),
    ],
)
def test_pupil_is_not_put_in_outside_the_days_of_the_group(office, group, pupil, days, sentence):
    end_group(group_id=group.public_id, ends=TODAY + timedelta(days=7), by=office, on=TODAY)

    with pytest.raises(Refused) as refused:
        put_in_group(
            group_id=group.public_id,
            pupil_id=pupil.public_id,
            starts=TODAY + timedelta(days=days),
            by=office,
            on=TODAY,
        )
    assert (refused.value.field, refused.value.sentence) == ("starts", sentence)


def test_pupil_who_left_is_put_nowhere(office, group, pupil):
    pupil.left_on = TODAY
    pupil.save()
    provider = builders.make_member(office.school, "provider")
    late = {"pupil_id": pupil.public_id, "starts": TOMORROW, "by": office, "on": TODAY}

    for act, place in (
        (put_in_group, {"group_id": group.public_id}),
        (assign_provider, {"user_id": provider.public_id}),
    ):
        with pytest.raises(Refused) as refused:
            act(**place, **late)
        assert refused.value.sentence == "The pupil left the school on 20 November 2026."


def test_group_that_ended_opens_nothing(office, assistant, group, pupil):
    put_in_group(group_id=group.public_id, pupil_id=pupil.public_id, starts=TODAY, by=office, on=TODAY)
    end_group(group_id=group.public_id, ends=TODAY, by=office, on=TODAY)

    assert [seen(assistant, office.school, day) for day in (TODAY, TOMORROW)] == [[pupil], []]


def test_nothing_ends_before_it_began(office, group, pupil):
    provider, before = builders.make_member(office.school, "provider"), TODAY - timedelta(days=1)
    who = {"by": office, "on": TODAY}
    row = assign_provider(user_id=provider.public_id, pupil_id=pupil.public_id, starts=TODAY, **who)
    put_in_group(group_id=group.public_id, pupil_id=pupil.public_id, starts=TODAY, **who)

    for act, place in (
        (end_group, {"group_id": group.public_id}),
        (take_from_group, {"group_id": group.public_id, "pupil_id": pupil.public_id}),
        (end_assignment, {"assignment_id": row.public_id}),
    ):
        with pytest.raises(Refused) as refused:
            act(**place, ends=before, **who)
        sentence = "It began on 20 November 2026 and can't end before that."
        assert (refused.value.field, refused.value.sentence) == ("ends", sentence)


def test_assignment_ends_with_its_day(office, pupil):
    user = builders.make_member(office.school, "provider")
    row = assign_provider(user_id=user.public_id, pupil_id=pupil.public_id, starts=TODAY, by=office, on=TODAY)
    end_assignment(assignment_id=row.public_id, ends=TODAY, by=office, on=TODAY)

    assert [seen(user, office.school, day) for day in (TODAY, TOMORROW)] == [[pupil], []]


def test_group_needs_the_role_on_its_first_day(office):
    user = builders.make_user()
    builders.join(user, office.school, "assistant", starts=TOMORROW)

    with pytest.raises(Refused) as refused:
        add_group(name="Tuesday", holder_id=user.public_id, starts=TODAY, by=office, on=TODAY)
    assert refused.value.field == "starts"


def test_groups_of_another_school_are_out_of_scope(office, group, pupil):
    far = builders.viewer(builders.make_member(builders.make_school("Far School"), "office"))
    provider = builders.make_member(office.school, "provider")
    row = assign_provider(user_id=provider.public_id, pupil_id=pupil.public_id, starts=TODAY, by=office, on=TODAY)
    place = {"group_id": group.public_id, "pupil_id": pupil.public_id}

    for act, what in (
        (put_in_group, {**place, "starts": TODAY}),
        (take_from_group, {**place, "ends": TODAY}),
        (end_group, {"group_id": group.public_id, "ends": TODAY}),
        (end_assignment, {"assignment_id": row.public_id, "ends": TODAY}),
    ):
        with pytest.raises(OutOfScope):
            act(**what, by=far, on=TODAY)


def test_pupil_who_is_in_no_group_cannot_be_taken_out(office, group, pupil):
    with pytest.raises(OutOfScope):
        take_from_group(group_id=group.public_id, pupil_id=pupil.public_id, ends=TODAY, by=office, on=TODAY)
