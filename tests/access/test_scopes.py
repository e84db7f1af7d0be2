"""Who may see which rows: every scope, with two schools that hold the same kinds of rows."""

import inspect
from datetime import timedelta

import pytest
from django.db.models import QuerySet

from tests import builders
from tests.builders import NOW, TODAY
from tracker.access import scopes
from tracker.models import Check, Conflict, GroupPlace, MasteryEvent, ProviderAssignment, Pupil, PupilGroup, Role

pytestmark = pytest.mark.django_db

YESTERDAY, TOMORROW = TODAY - timedelta(days=1), TODAY + timedelta(days=1)

# Every public function of the module that takes a viewer and gives rows.
SCOPES = {
    name: function
    for name, function in inspect.getmembers(scopes, inspect.isfunction)
    if function.__module__ == scopes.__name__ and not name.startswith("_")
}


# What each role finds in its own school, and how many rows of it.
SCORES = {"attempts": 1, "standings": 1, "mastery_events": 1, "flags": 1}
ENTERS = {"classes_to_enter": 1, "checks_to_enter": 1, "conflicts": 1}
WHOLE = {"classes": 2, "pupils": 2, "checks": 1, "sheets": 1, **SCORES}
FINDS_OF = {
    "teacher": {"classes": 1, "pupils": 1, "checks": 1, "sheets": 1, "checks_to_close": 1, **ENTERS, **SCORES},
    "cover": ENTERS,
    "assistant": {"pupils": 1, "own_groups": 1, "sheets": 1, **SCORES},
    "provider": {"pupils": 1, "own_groups": 1, "sheets": 1, **SCORES},
    "coordinator": {"people": 2, **WHOLE},
    "deputy": {"people": 2, **WHOLE},
    "head": WHOLE,
    "office": {"people": 2, "sheets": 1},
    "parent": {"children": 1},
}


class Place:
    """A school in which every scope has something to find."""

    def __init__(self, name):
        self.school = builders.make_school(name)
        self.people = {role: builders.make_member(self.school, role) for role in Role.values}
        self.group = builders.make_class(self.school, teacher=self.people["teacher"])
        builders.give_class(self.people["cover"], self.group, cover=True)
        self.pupil = builders.make_pupil(self.group)
        self.other_group = builders.make_class(self.school, "Otter")
        self.other_pupil = builders.make_pupil(self.other_group)
        builders.link_guardian(self.people["parent"], self.pupil)
        for role in ("assistant", "provider"):
            small = PupilGroup.objects.create(
                school=self.school, name=f"Table of {role}", holder=self.people[role], starts=TODAY
            )
            GroupPlace.objects.create(school=self.school, group=small, pupil=self.pupil, starts=TODAY)
        self._scores()

    def _scores(self):
        self.check = builders.make_check(self.group)
        self.attempt = builders.make_attempt(self.check, self.pupil, correct=30)
        builders.make_sheet(self.school)
        builders.make_standing(self.pupil)
        builders.make_flag(self.pupil)
        skill = builders.skill("sub-2d-regroup")
        MasteryEvent.objects.create(
            school=self.school, pupil=self.pupil, skill=skill, kind="secure", on=TODAY, mark_accuracy="0.95",
            mark_source="test", measures_version="test", recorded_at=NOW,
        )  # fmt: skip
        Conflict.objects.create(
            school=self.school, attempt=self.attempt, base_version=0, kept={"correct": 30}, lost={"correct": 31}, at=NOW
        )

    def viewer(self, role):
        return builders.viewer(self.people[role], self.school)


@pytest.fixture
def here():
    return Place("Harbour Lane School")


@pytest.fixture
def there():
    return Place("Second School")


def test_every_scope_is_walked():
    assert set(SCOPES) == {
        "attempts", "checks", "checks_to_close", "checks_to_enter", "children", "classes", "classes_to_enter",
        "conflicts", "flags", "mastery_events", "own_groups", "people", "pupils", "sheets", "standings",
    }  # fmt: skip


@pytest.mark.parametrize("role", Role.values)
def test_scope_never_shows_another_school(here, there, role):
    viewer = here.viewer(role)

    assert all(isinstance(scope(viewer), QuerySet) for scope in SCOPES.values())
    assert schools_shown(viewer) == {name: {here.school.pk} for name in FINDS_OF[role]}


def schools_shown(viewer):
    """The schools of the rows that each scope finds, for scopes that find any."""
    found = {name: {row.school_id for row in scope(viewer)} for name, scope in SCOPES.items()}
    return {name: schools for name, schools in found.items() if schools}


def test_person_of_two_schools_sees_one_at_a_time(here, there):
    """The same person has every role in both schools, and classes, groups and children in both."""
    user = here.people["teacher"]
    for place in (here, there):
        for role in Role.values:
            if (place, role) != (here, "teacher"):
                builders.join(user, place.school, role)
        for group in (place.group, place.other_group):
            if not user.teachings.filter(class_group=group).exists():
                builders.give_class(user, group)
        builders.link_guardian(user, place.other_pupil)
        small = PupilGroup.objects.create(school=place.school, name="Both", holder=user, starts=TODAY)
        GroupPlace.objects.create(school=place.school, group=small, pupil=place.other_pupil, starts=TODAY)

    for place in (here, there):
        shown = schools_shown(builders.viewer(user, place.school))
        assert shown == {name: {place.school.pk} for name in SCOPES}


@pytest.mark.parametrize("role", Role.values)
def test_role_finds_its_own_rows_and_no_others(here, role):
    viewer = here.viewer(role)
    counts = {name: scope(viewer).count() for name, scope in SCOPES.items()}

    assert {name: count for name, count in counts.items() if count} == FINDS_OF[role]


def test_pupil_who_moved_is_seen_by_the_new_teacher_from_that_day(here):
    new_teacher = builders.make_member(here.school, "teacher")
    builders.give_class(new_teacher, here.other_group)
    here.pupil.enrolments.update(ends=YESTERDAY)
    here.pupil.enrolments.create(school=here.school, class_group=here.other_group, grade=3, starts=TODAY)

    assert here.pupil not in scopes.pupils(here.viewer("teacher"))
    assert here.pupil in scopes.pupils(builders.viewer(new_teacher, here.school))
    assert here.pupil not in scopes.pupils(builders.viewer(new_teacher, here.school, now=NOW - timedelta(days=1)))


def test_pupil_who_left_is_seen_by_the_coordinator_only(here):
    Pupil.objects.filter(pk=here.pupil.pk).update(left_on=YESTERDAY)

    seen = {role for role in Role.values if here.pupil in scopes.pupils(here.viewer(role))}
    assert seen == {"coordinator", "deputy", "head"}


def test_pupil_of_an_ended_group_is_not_seen(here):
    PupilGroup.objects.update(starts=YESTERDAY, ends=YESTERDAY)

    assert not scopes.pupils(here.viewer("assistant")).exists()
    assert not scopes.checks(here.viewer("assistant")).exists()


def test_pupil_whose_place_ended_is_not_seen(here):
    GroupPlace.objects.update(starts=YESTERDAY, ends=YESTERDAY)

    assert not scopes.pupils(here.viewer("provider")).exists()


def test_pupil_on_a_providers_list_is_seen_while_it_lasts(here):
    provider = here.people["provider"]
    row = ProviderAssignment.objects.create(school=here.school, user=provider, pupil=here.other_pupil, starts=TODAY)

    assert here.other_pupil in scopes.pupils(here.viewer("provider"))
    ProviderAssignment.objects.filter(pk=row.pk).update(starts=TOMORROW)
    assert here.other_pupil not in scopes.pupils(here.viewer("provider"))


def test_class_that_is_taught_no_longer_is_not_seen(here):
    here.people["teacher"].teachings.update(ends=YESTERDAY)

    viewer = here.viewer("teacher")
    assert [SCOPES[name](viewer).count() for name in ("classes", "classes_to_enter", "pupils", "checks")] == [0] * 4


def test_cover_enters_the_check_of_that_day_alone(here):
    builders.make_check(here.group, on=YESTERDAY)
    builders.make_check(here.other_group)

    assert list(scopes.checks_to_enter(here.viewer("cover"))) == [here.check]
    assert not scopes.checks(here.viewer("cover")).exists()


def test_coordinator_who_also_teaches_enters_the_own_classes_alone(here):
    user = here.people["teacher"]
    builders.join(user, here.school, "coordinator")
    builders.make_check(here.other_group)
    viewer = builders.viewer(user, here.school)

    assert scopes.checks(viewer).count() == 2
    assert list(scopes.checks_to_enter(viewer)) == [here.check]


def make_own_check(place, **whom):
    return Check.objects.create(school=place.school, year=place.group.year, on=TODAY, created_at=NOW, **whom)


def test_holder_of_a_group_without_the_role_sees_nothing_of_it(here):
    PupilGroup.objects.update(holder=here.people["parent"])
    small = PupilGroup.objects.first()
    make_own_check(here, pupil_group=small)

    viewer = here.viewer("parent")
    assert not scopes.checks(viewer).exists()
    assert not scopes.checks_to_enter(viewer).exists()


def test_check_of_one_pupil_is_entered_by_those_who_teach_the_pupil(here):
    check = make_own_check(here, pupil=here.pupil)

    may = {role for role in Role.values if check in scopes.checks_to_enter(here.viewer(role))}
    assert may == {"teacher", "assistant", "provider"}


def test_child_is_seen_by_a_linked_parent_with_the_role_only(here):
    parent = here.people["parent"]
    assert list(scopes.children(here.viewer("parent"))) == [here.pupil]
    builders.link_guardian(here.people["teacher"], here.pupil)
    assert not scopes.children(here.viewer("teacher")).exists()
    parent.guardianships.update(ends=YESTERDAY)
    assert not scopes.children(here.viewer("parent")).exists()
