"""One print job: a page for whoever gives it, the sheets in the order of names, the keys with running totals."""

from itertools import cycle

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import NOBODY, main_part, make_class_scene

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


def path_of(check):
    return f"/week/plan/{check.class_group.public_id}/checks/{check.public_id}/print/"


def test_print_gives_cover_sheets_in_pile_order_and_each_key_once(scene):
    late, early = builders.make_pupil(scene.group, "Zoë", "Young"), builders.make_pupil(scene.group, "Aino", "Brandt")
    check = scene.plan((late, "add-tens"), (early, "add-tens"))

    response = scene.get(path_of(check))
    page = main_part(response)

    assert response.status_code == 200
    assert [leaf.name for leaf in response.context["pile"].leaves] == ["Aino Brandt", "Zoë Young"]
    assert page.count('class="leaf paper-sheet"') == 2
    assert page.count(f"Key {check.attempts.first().sheet.code}") == 1
    assert "If you want to stop, put your pencil down." in page


def test_print_shows_the_child_no_minutes(scene):
    check = scene.plan((builders.make_pupil(scene.group), "add-tens"))

    paper = main_part(scene.get(path_of(check))).split('class="leaf paper-sheet"')[1].split("</section>")[0]

    assert "min" not in paper
    assert "Add tens" not in paper


def test_print_keys_end_with_all_digits_of_the_sheet(scene):
    check = scene.plan((builders.make_pupil(scene.group), "sub-2d-regroup"))

    (key,) = scene.get(path_of(check)).context["pile"].keys

    assert key.items[-1].running == key.digits_possible == 84


def test_print_leaves_out_rows_that_have_an_entry(scene):
    one, two = builders.make_pupils(scene.group, 2)
    check = scene.plan((one, "add-tens"), (two, "add-tens"))
    check.attempts.filter(pupil=one).update(status="done", correct=30, wrong=1, omitted=0)

    assert [leaf.name for leaf in scene.get(path_of(check)).context["pile"].leaves] == ["Pupil02 Name02"]


def test_print_names_a_row_whose_sheet_is_not_ours(scene):
    check = builders.make_check(scene.group)
    builders.make_attempt(check, builders.make_pupil(scene.group))

    page = main_part(scene.get(path_of(check)))

    assert "Without a printed sheet of ours: <bdi>Anouk Verhaegen</bdi>" in page


def test_print_is_for_the_teacher_and_the_coordinator(scene):
    check = scene.plan((builders.make_pupil(scene.group), "add-tens"))
    coordinator = builders.make_member(scene.school, "coordinator")

    assert scene.statuses(path_of(check)) == NOBODY
    assert scene.get(path_of(check), coordinator).status_code == 200


def test_print_of_an_empty_check_is_the_cover_alone(scene):
    page = main_part(scene.get(path_of(builders.make_check(scene.group))))

    assert (page.count("paper-cover"), page.count("paper-sheet"), page.count("paper-keys")) == (1, 0, 0)


@pytest.mark.parametrize("number", [1, 3, 30])
def test_print_costs_the_same_for_any_number(scene, number, django_assert_num_queries):
    keys = cycle(["add-tens", "sub-tens", "sub-2d-regroup", "year-3"])
    check = scene.plan(*zip(builders.make_pupils(scene.group, number), keys, strict=False))
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then check, rows and items.
    with django_assert_num_queries(6):
        response = client.get(path_of(check))

    assert len(response.context["pile"].leaves) == number
