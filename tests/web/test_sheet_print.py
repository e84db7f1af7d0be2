"""One sheet with its key, as it goes to paper."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import NOBODY, main_part, make_class_scene
from tracker.actions.sheet_forms import make_form

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


def made(scene, key):
    return make_form(skill_key=key, by=scene.viewer, on=builders.TODAY)


def path_of(sheet):
    return f"/sheets/{sheet.public_id}/print/"


def test_print_sets_sums_in_columns_and_leaves_the_answer_open(scene):
    sheet = made(scene, "sub-2d-regroup")
    first = sheet.items.first()

    page = main_part(scene.get(path_of(sheet)))

    digits = f'<span class="item-digits">{first.top}</span><span class="item-digits"><span class="item-sign">−</span>'
    assert f'{digits}{first.bottom}</span><span class="item-answer"></span></li>' in page
    assert f"<b>{first.answer}</b><small>2</small>" in page


@pytest.mark.parametrize(
    ("key", "layout", "columns"),
    [
        ("add-facts-20", "column", 10),
        ("sub-2d-regroup", "column", 6),
        ("missing-20", "line", 4),
        ("missing-100", "line", 3),
        ("divide-all", "line", 4),
        ("copying", "copy", 6),
    ],
)
def test_print_lays_each_kind_out_in_its_own_way(scene, key, layout, columns):
    response = scene.get(path_of(made(scene, key)))

    sheet = response.context["sheet"]
    assert {item.layout for item in sheet.items} == {layout}
    assert sheet.columns == columns
    assert f'class="items items-{columns}"' in main_part(response)


def test_print_leaves_one_box_where_a_number_is_missing(scene):
    sheet = made(scene, "missing-100")

    page = main_part(scene.get(path_of(sheet)))

    assert page.count("item-box") == sheet.items.count()


def test_print_takes_the_words_of_the_school(scene):
    scene.school.words = {"regrouping": "exchanging"}
    scene.school.save()

    assert "with exchanging" in main_part(scene.get(path_of(made(scene, "sub-2d-regroup"))))


def test_print_is_for_the_staff_of_the_school(scene):
    sheet = made(scene, "add-tens")

    assert scene.statuses(path_of(sheet)) == NOBODY | {"other teacher": 200}


def test_print_of_a_sheet_without_items_shows_an_empty_paper(scene):
    response = scene.get(path_of(builders.make_sheet(scene.school)))

    assert response.status_code == 200
    assert response.context["sheet"].items == ()


@pytest.mark.parametrize("key", ["add-tens", "year-4", "copying"])
def test_print_costs_the_same_for_any_sheet(scene, key, django_assert_num_queries):
    sheet = made(scene, key)
    client = builders.sign_in(Client(), scene.teacher)

    # Session, user, memberships; then sheet and items.
    with django_assert_num_queries(5):
        response = client.get(path_of(sheet))

    assert len(response.context["sheet"].items) == sheet.items.count()
