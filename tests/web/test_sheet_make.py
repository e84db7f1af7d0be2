"""Making one more form of a sheet."""

import pytest
from django.test import Client

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import main_part, make_class_scene
from tracker.actions.sheets import FORMS
from tracker.models import Sheet

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def scene():
    return make_class_scene()


def test_make_gives_the_next_form_and_opens_it(scene):
    scene.post("/sheets/make/", {"skill": "add-tens"})
    response = scene.post("/sheets/make/", {"skill": "add-tens"})

    forms = list(Sheet.objects.order_by("form").values_list("form", flat=True))
    assert forms == [1, 2]
    assert response["Location"] == f"/sheets/{Sheet.objects.get(form=2).public_id}/print/"


@pytest.mark.parametrize(
    ("skill", "sentence"),
    [("", "Choose a skill."), ("juggling", "This school does not use that skill.")],
)
def test_make_says_what_is_wrong(scene, skill, sentence):
    response = scene.post("/sheets/make/", {"skill": skill})

    assert response.status_code == 422
    assert sentence in main_part(response)
    assert Sheet.objects.count() == 0


def test_make_stops_when_all_forms_are_made(scene):
    for form in range(1, FORMS + 1):
        builders.make_sheet(scene.school, "add-tens", form=form)

    response = scene.post("/sheets/make/", {"skill": "add-tens"})

    assert "All 10 forms of this sheet are made already." in main_part(response)
    assert Sheet.objects.count() == FORMS


def test_make_is_for_teachers(scene):
    people = scene.strangers()
    coordinator = builders.make_member(scene.school, "coordinator")

    refused = [people["parent"], people["other school"], coordinator]

    assert [scene.post("/sheets/make/", {"skill": "add-tens"}, user).status_code for user in refused] == [404] * 3
    assert Sheet.objects.count() == 0


def test_make_answers_no_visit(scene):
    response = builders.sign_in(Client(), scene.teacher).get("/sheets/make/")

    assert (response.status_code, response["Allow"]) == (405, "POST")
