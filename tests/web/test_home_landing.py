"""The first page after signing in, by role, and the first pages themselves."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import NoReverseMatch, reverse

from tests import builders
from tests.builders import NOW, TODAY
from tracker.models import GroupPlace, ProviderAssignment, PupilGroup

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


def open_as(user, path="/"):
    return builders.sign_in(Client(), user).get(path)


def first_of(*names):
    """The address that stands first, of those that exist."""
    for name in names:
        try:
            return reverse(name)
        except NoReverseMatch:
            continue
    raise AssertionError(names)


def make_group(user, *pupils, name="Blue table"):
    group = PupilGroup.objects.create(school=pupils[0].school, name=name, holder=user, starts=TODAY)
    for pupil in pupils:
        GroupPlace.objects.create(school=pupil.school, group=group, pupil=pupil, starts=TODAY)
    return group


def test_landing_anonymous_is_led_to_the_sign_in_page(client):
    response = client.get("/")

    assert (response.status_code, response["Location"]) == (302, "/account/sign-in/?next=/")


@pytest.mark.parametrize(
    ("role", "names"),
    [
        ("teacher", ("week-overview", "home-classes")),
        ("coordinator", ("home-classes",)),
        ("deputy", ("home-classes",)),
        ("head", ("home-classes",)),
        ("office", ("roster-overview",)),
        ("assistant", ("home-groups",)),
        ("provider", ("home-groups",)),
        ("cover", ("home-today",)),
        ("parent", ("family-home",)),
    ],
)
def test_landing_goes_to_the_first_page_of_the_role(school, role, names):
    response = open_as(builders.make_member(school, role))

    assert (response.status_code, response["Location"]) == (302, first_of(*names))


def test_landing_of_several_roles_is_the_teachers(school):
    user = builders.make_member(school, "coordinator")
    builders.join(user, school, "teacher")

    assert open_as(user)["Location"] == first_of("week-overview", "home-classes")


def test_landing_without_a_role_says_whom_to_ask(school):
    user = builders.make_user()
    builders.join(user, school, "teacher", ends=TODAY - timedelta(days=1))

    page = open_as(user).content.decode()

    assert "Nothing is open to you today" in page
    assert "Harbour Lane School" in page


def test_landing_of_a_new_account_names_no_school(school):
    page = open_as(builders.make_user()).content.decode()

    assert "no school has given you a role yet" in page
    assert "Harbour Lane School" not in page


def test_classes_show_pupils_open_checks_and_open_flags(school):
    heron = builders.make_class(school, "Heron")
    builders.make_class(school, "Otter")
    one, _ = builders.make_pupils(heron, 2)
    builders.make_check(heron)
    builders.make_flag(one)

    response = open_as(builders.make_member(school, "coordinator"), "/classes/")

    lines = [(line.group.name, line.pupils, line.open_checks, line.open_flags) for line in response.context["lines"]]
    assert lines == [("Heron", 2, 1, 1), ("Otter", 0, 0, 0)]
    assert "Heron" in response.content.decode()


def test_classes_of_a_teacher_are_the_own_ones(school):
    teacher = builders.make_member(school, "teacher")
    builders.make_class(school, "Heron", teacher=teacher)
    builders.make_class(school, "Otter")

    response = open_as(teacher, "/classes/")

    assert [line.group.name for line in response.context["lines"]] == ["Heron"]


def test_classes_without_any_say_what_to_do(school):
    page = open_as(builders.make_member(school, "head"), "/classes/").content.decode()

    assert "No class this school year yet" in page


@pytest.mark.parametrize("number", [1, 3])
def test_classes_cost_the_same_for_any_number(school, number, django_assert_num_queries):
    coordinator = builders.make_member(school, "coordinator")
    for n in range(number):
        pupil = builders.make_pupil(builders.make_class(school, f"Class {n}"))
        builders.make_flag(pupil)
    client = builders.sign_in(Client(), coordinator)

    # Session, user and memberships; then classes, pupils, checks and flags.
    with django_assert_num_queries(7):
        response = client.get("/classes/")

    assert len(response.context["lines"]) == number


@pytest.mark.parametrize("role", ["cover", "assistant", "provider", "office", "parent"])
def test_classes_are_not_there_for_others(school, role):
    response = open_as(builders.make_member(school, role), "/classes/")

    assert response.status_code == 404
    assert "There is nothing here for you" in response.content.decode()


def test_today_leads_cover_to_the_check_of_that_class_and_day(school):
    cover = builders.make_member(school, "cover")
    heron, otter = builders.make_class(school, "Heron"), builders.make_class(school, "Otter")
    builders.give_class(cover, heron, cover=True)
    check = builders.make_check(heron)
    builders.make_attempt(check, builders.make_pupil(heron))
    builders.make_check(heron, on=TODAY - timedelta(days=7))
    builders.make_check(otter)

    response = open_as(cover, "/today/")

    page = response.content.decode()
    assert list(response.context["checks"]) == [check]
    assert "1 row left of 1" in page
    assert "Only today’s scores are open to you" in page
    try:
        address = reverse("group-scores", args=[heron.public_id, check.public_id])
    except NoReverseMatch:
        return
    assert f'href="{address}"' in page


def test_today_without_a_check_says_so(school):
    page = open_as(builders.make_member(school, "cover"), "/today/").content.decode()

    assert "No check to enter today" in page


def test_today_is_over_tomorrow(school, at_time):
    cover = builders.make_member(school, "cover")
    at_time(NOW + timedelta(days=1))

    response = open_as(cover, "/today/")

    assert response.status_code == 404
    assert "Nothing is open to you today" in open_as(cover).content.decode()


def test_groups_list_the_own_groups_and_the_own_list(school):
    provider = builders.make_member(school, "provider")
    heron = builders.make_class(school)
    one, two, three, _other = builders.make_pupils(heron, 4)
    make_group(provider, one, two)
    ProviderAssignment.objects.create(school=school, user=provider, pupil=three, starts=TODAY)

    response = open_as(provider, "/groups/")

    lines = [(line.name, list(line.pupils)) for line in response.context["lines"]]
    assert lines == [("Blue table", [one, two]), ("", [three])]
    assert "Pupil01 Name01" in response.content.decode()


def test_groups_of_somebody_else_do_not_show(school):
    assistant, colleague = builders.make_member(school, "assistant"), builders.make_member(school, "assistant")
    pupil = builders.make_pupil(builders.make_class(school))
    make_group(colleague, pupil)

    page = open_as(assistant, "/groups/").content.decode()

    assert "No group yet" in page
    assert "Anouk" not in page


@pytest.mark.parametrize("number", [1, 3])
def test_groups_cost_the_same_for_any_number(school, number, django_assert_num_queries):
    assistant = builders.make_member(school, "assistant")
    heron = builders.make_class(school)
    for n in range(number):
        make_group(assistant, builders.make_pupil(heron), name=f"Table {n}")
    client = builders.sign_in(Client(), assistant)

    # Session, user and memberships; then places, groups and the own list.
    with django_assert_num_queries(6):
        response = client.get("/groups/")

    assert len(response.context["lines"]) == number


def test_navigation_holds_the_ways_of_the_role_and_marks_where_one_is(school):
    response = open_as(builders.make_member(school, "coordinator"), "/classes/")

    ways = {str(way["label"]): way["current"] for way in response.context["nav"]}
    assert ways["Classes"] is True
    assert [label for label, current in ways.items() if current] == ["Classes"]
    assert "This week" not in ways
    assert "My children" not in ways


def test_navigation_of_cover_is_today_alone(school):
    response = open_as(builders.make_member(school, "cover"), "/today/")

    assert [str(way["label"]) for way in response.context["nav"]] == ["Today’s check"]
