"""One person who helps: small groups, and the list of a provider."""

import pytest

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.roster_scene import as_role, errors, send, text, told, value_of
from tracker.models import GroupPlace, ProviderAssignment, PupilGroup

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return as_role(school)


@pytest.fixture
def provider(school):
    return builders.make_member(school, "provider", "Pelle Aho")


@pytest.fixture
def path(provider):
    return f"/roster/people/{provider.public_id}/"


@pytest.fixture
def pupil(school):
    return builders.make_pupil(builders.make_class(school), school_ref="L-1")


def make_group(provider, *pupils, **fields):
    group = PupilGroup.objects.create(
        **{
            "school": provider.memberships.get().school,
            "name": "Tuesday",
            "holder": provider,
            "starts": TODAY,
            **fields,
        }
    )
    for pupil in pupils:
        GroupPlace.objects.create(school=group.school, group=group, pupil=pupil, starts=TODAY)
    return group


def beside(client, path, do, row, **fields):
    """Sends a form that stands beside a group."""
    prefix = {"take-from-group": "take", "end-group": "end"}[do]
    return send(client, path, do, row=row, **{f"{prefix}-{row}-{name}": value for name, value in fields.items()})


def test_groups_are_made_filled_emptied_and_ended(office, path, pupil):
    send(office, path, "add-group", name="  Tuesday ", starts="2026-11-20", ends="2026-12-18")
    group = PupilGroup.objects.get()
    put = send(office, path, "put-in-group", group_id=group.public_id, pupil_id=pupil.public_id, starts="2026-11-20")
    shown = text(office.get(path))
    beside(office, path, "take-from-group", group.public_id, pupil_id=pupil.public_id, ends="2026-11-27")
    beside(office, path, "end-group", group.public_id, ends="2026-12-11")
    group.refresh_from_db()

    assert put["Location"] == f"{path}?again=put-in-group"
    assert "The group is there. Put its pupils in next. The pupil is in the group." in shown
    assert "Tuesday 20 November 2026 to 18 December 2026 Anouk Verhaegen L-1 , from 20 November 2026" in shown
    assert (group.name, str(group.ends), str(GroupPlace.objects.get().ends)) == ("Tuesday", "2026-12-11", "2026-11-27")
    assert told(office, path) == [
        "The pupil is in the group until that day.",
        "The group ends on that day.",
    ]


def test_groups_next_pupil_goes_where_the_last_one_went(school, provider, office, path, pupil):
    make_group(provider, starts=TODAY.replace(day=2), name="Monday")
    group = make_group(provider)
    GroupPlace.objects.create(school=school, group=group, pupil=pupil, starts=TODAY.replace(day=23))
    body = office.get(f"{path}?again=put-in-group").content.decode()

    assert f'<option value="{group.public_id}" selected>Tuesday</option>' in body
    assert 'name="put-in-group-starts" value="2026-11-23"' in body
    assert '<option value="" selected>Choose a pupil</option>' in body


def test_groups_wrong_input_gets_a_sentence_and_the_rest_is_kept(provider, office, path):
    group = make_group(provider)
    named = send(office, path, "add-group", name="Thursday", starts="2026-11-20", ends="2026-11-19")
    nobody = send(office, path, "put-in-group", group_id=group.public_id, pupil_id="", starts="2026-11-24")
    early = beside(office, path, "end-group", group.public_id, ends="2026-11-19")

    assert errors(named) == ["The last day must not come before the first day."]
    assert (value_of(named, "add-group-name"), value_of(named, "add-group-ends")) == ("Thursday", "2026-11-19")
    assert errors(nobody) == ["Choose a pupil."]
    assert value_of(nobody, "put-in-group-starts") == "2026-11-24"
    assert errors(early) == ["It began on 20 November 2026 and can't end before that."]
    assert (PupilGroup.objects.count(), GroupPlace.objects.count()) == (1, 0)


def test_groups_take_no_pupil_of_another_school_and_none_who_left(school, provider, office, path, pupil):
    group = make_group(provider)
    far = builders.make_pupil(builders.make_class(builders.make_school("Mill School")))
    gone = builders.make_pupil(pupil.enrolments.get().class_group, left_on=TODAY.replace(day=1))
    for one in (far, gone):
        answer = send(
            office, path, "put-in-group", group_id=group.public_id, pupil_id=one.public_id, starts="2026-11-20"
        )
        assert answer.status_code == 422
    assert GroupPlace.objects.count() == 0


def test_groups_that_are_over_stand_apart(provider, office, path, pupil):
    make_group(provider, pupil, starts=TODAY.replace(day=2), ends=TODAY.replace(day=19))
    shown = text(office.get(path))

    assert "Groups that are over Tuesday 2 November 2026 to 19 November 2026" in shown
    assert "No group yet." in shown
    assert "Put a pupil into a group" not in shown


def test_list_of_a_provider_is_filled_and_emptied(office, path, pupil):
    send(office, path, "assign-provider", pupil_id=pupil.public_id, starts="2026-11-20")
    row = ProviderAssignment.objects.get()
    again = send(office, path, "assign-provider", pupil_id=pupil.public_id, starts="2026-11-24")
    shown = text(office.get(path))
    send(office, path, "end-assignment", row=row.public_id, **{f"assignment_id-{row.public_id}-ends": "2026-11-27"})
    row.refresh_from_db()

    assert errors(again) == ["The pupil is on this person's list already."]
    assert "Pupils on the list Anouk Verhaegen L-1 , from 20 November 2026" in shown
    assert str(row.ends) == "2026-11-27"


def test_list_keeps_those_who_were_on_it_apart(school, provider, office, path, pupil):
    ProviderAssignment.objects.create(
        school=school, user=provider, pupil=pupil, starts=TODAY.replace(day=2), ends=TODAY.replace(day=13)
    )
    shown = text(office.get(path))

    assert "Were on the list before Anouk Verhaegen L-1 , 2 November 2026 to 13 November 2026" in shown
    assert "Nobody is on this list." in shown


def test_groups_and_list_are_empty_at_first(office, path):
    shown = text(office.get(path))

    assert "No group yet." in shown
    assert "Nobody is on this list." in shown


@pytest.mark.parametrize(("role", "seen"), [("assistant", (True, False)), ("teacher", (False, False))])
def test_sections_follow_the_role(school, office, role, seen):
    shown = text(office.get(f"/roster/people/{builders.make_member(school, role).public_id}/"))

    assert ("Small groups" in shown, "Pupils on the list" in shown) == seen


def test_teacher_is_given_no_group(school, office, pupil):
    path = f"/roster/people/{builders.make_member(school, 'teacher').public_id}/"

    assert send(office, path, "add-group", name="Tuesday", starts="2026-11-20").status_code == 404
    assert send(office, path, "assign-provider", pupil_id=pupil.public_id, starts="2026-11-20").status_code == 404
    assert (PupilGroup.objects.count(), ProviderAssignment.objects.count()) == (0, 0)


def test_groups_are_read_and_not_changed_by_the_coordinator(school, provider, path, pupil):
    make_group(provider, pupil)
    coordinator = as_role(school, "coordinator")
    shown = text(coordinator.get(path))

    assert ("Anouk Verhaegen L-1" in shown, "Make a group" in shown, "End this group" in shown) == (True, False, False)
    assert send(coordinator, path, "add-group", name="Mine", starts="2026-11-20").status_code == 404
    assert PupilGroup.objects.count() == 1


def test_groups_are_hidden_from_another_school(provider, path):
    group = make_group(provider)
    far = as_role(builders.make_school("Mill School"))

    assert far.get(path).status_code == 404
    assert beside(far, path, "end-group", group.public_id, ends="2026-11-27").status_code == 404
    group.refresh_from_db()
    assert group.ends is None


def test_group_of_somebody_else_is_not_ended_on_this_page(school, office, path):
    other = make_group(builders.make_member(school, "assistant"))

    assert beside(office, path, "end-group", other.public_id, ends="2026-11-27").status_code == 404
    other.refresh_from_db()
    assert other.ends is None


@pytest.mark.parametrize("number", [1, 3])
def test_groups_ask_the_database_as_often_for_one_as_for_three(
    school, office, path, provider, pupil, number, django_assert_num_queries
):
    pupils = builders.make_pupils(pupil.enrolments.get().class_group, number)
    for one in pupils:
        make_group(provider, *pupils)
        ProviderAssignment.objects.create(school=school, user=provider, pupil=one, starts=TODAY)
    with django_assert_num_queries(13):
        office.get(path)
