"""The week: what is due, who to look at and why, who became secure, and what the class needs."""

from datetime import timedelta

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW, TODAY
from tests.web.class_scene import NOBODY, main_part, make_class_scene
from tracker.models import MasteryEvent

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


LOW = {"dates": ["2026-10-30", "2026-11-20"], "accuracy": 0.71, "right": 88, "total": 124}


def make_event(pupil, kind="secure", key="add-tens"):
    return MasteryEvent.objects.create(
        school=pupil.school, pupil=pupil, skill=builders.skill(key), kind=kind, on=TODAY - timedelta(days=3),
        mark_accuracy=0.95, mark_rate=30, mark_source="common-practice", mark_version=0,
        measures_version="test", recorded_at=NOW,
    )  # fmt: skip


def test_overview_says_what_is_due_who_to_look_at_and_who_became_secure(scene):
    one, two = builders.make_pupils(scene.group, 2)
    check = scene.plan((one, "sub-2d-regroup"), (two, "add-tens"))
    builders.make_standing(one, stage="learning")
    builders.make_flag(one, kind="accuracy-low", evidence=LOW)
    make_event(two)

    response = scene.get("/week/")
    page = main_part(response)

    assert response.status_code == 200
    assert "<b>2</b> left of 2" in page
    assert f"/classes/{scene.group.public_id}/checks/{check.public_id}/scores/" in page
    assert "71 % of the digits right in the last 2 checks (88 of 124, 30 October to 20 November)." in page
    assert "at most about 1 flag a year comes by chance" in page
    assert 'Pupil02 Name02</bdi></a> <span class="fine">Add tens</span>' in page


def test_overview_folds_flags_that_were_seen(scene):
    pupil = builders.make_pupil(scene.group)
    builders.make_flag(pupil, state="acknowledged", seen_at=NOW)

    response = scene.get("/week/")

    (line,) = response.context["classes"]
    assert (line.look_at, [one.name for one in line.seen]) == ((), ["Anouk Verhaegen"])
    assert "1 pupil seen already" in main_part(response)


def test_overview_names_a_child_once_with_all_reasons(scene):
    pupil = builders.make_pupil(scene.group)
    builders.make_flag(pupil, kind="accuracy-low", evidence=LOW)
    builders.make_flag(pupil, "add-tens", kind="accuracy-low", evidence=LOW)

    assert main_part(scene.get("/week/")).count("Anouk Verhaegen") == 1


def test_overview_says_once_that_the_class_needs_a_skill_taught(scene):
    for pupil in builders.make_pupils(scene.group, 6):
        builders.make_standing(pupil, stage="learning", pooled_accuracy=0.7)
        builders.make_flag(pupil, kind="accuracy-low", evidence=LOW)

    response = scene.get("/week/")

    assert main_part(response).count("Teach it to the class: Subtract two-digit numbers, with regrouping") == 1
    assert response.context["classes"][0].look_at == ()


def test_overview_shows_a_coordinator_who_teaches_the_own_class_only(scene):
    builders.join(scene.teacher, scene.school, "coordinator")
    builders.make_class(scene.school, "Otter")

    assert [line.name for line in scene.get("/week/").context["classes"]] == ["Heron"]


def test_overview_is_for_teachers(scene):
    assert scene.statuses("/week/") == NOBODY | {"other teacher": 200}
    other = builders.make_member(scene.school, "coordinator")
    assert scene.get("/week/", other).status_code == 404


def test_overview_shows_another_teacher_nothing_of_this_class(scene):
    builders.make_flag(builders.make_pupil(scene.group), evidence={})
    other = scene.strangers()["other teacher"]

    assert "Verhaegen" not in main_part(scene.get("/week/", other))


def test_overview_without_a_class_says_who_gives_one(scene):
    page = main_part(scene.get("/week/", builders.make_member(scene.school, "teacher")))

    assert "No class yet" in page


@pytest.mark.parametrize("number", [1, 3, 30])
def test_overview_costs_the_same_for_any_number(scene, number, django_assert_num_queries):
    pupils = builders.make_pupils(scene.group, number)
    for pupil in pupils:
        builders.make_standing(pupil)
        builders.make_flag(pupil)
        make_event(pupil)
    scene.plan(*[(pupil, "add-tens") for pupil in pupils])
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then classes, places, checks, flags, events and standings.
    with django_assert_num_queries(9):
        response = client.get("/week/")

    assert len(response.context["classes"][0].look_at) == number
