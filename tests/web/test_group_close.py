import pytest
from django.test import Client
from pytest_django.asserts import assertContains, assertRedirects

from tests import builders as make
from tests.web.score_grids import cover_for, make_scene

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def now(at_time):
    at_time(make.NOW)


@pytest.fixture
def scene():
    return make_scene("Anouk Verhaegen", "Bilal Chaudry")


@pytest.fixture
def teacher(scene):
    return make.sign_in(Client(), scene.teacher)


def state(scene):
    scene.check.refresh_from_db()
    return scene.check.state, list(scene.check.attempts.order_by("pupil__sort_name").values_list("status", flat=True))


def test_full_check_closes_at_once_and_shows_the_class(teacher, scene):
    scene.save(teacher, 0, correct=33, wrong=1)
    scene.save(teacher, 1, key="k2", correct=30, wrong=1)

    answer = teacher.post(scene.url("group-close"))

    assertRedirects(answer, scene.url("group-check"))
    assert state(scene) == ("closed", ["done", "done"])


def test_rows_still_due_are_asked_about_once(teacher, scene):
    scene.save(teacher, 0, correct=33, wrong=1)

    asked = teacher.post(scene.url("group-close"), follow=True)
    assert asked.redirect_chain == [(scene.url() + "?closing=1", 302)]
    assertContains(asked, "1 row is still due.")
    assertContains(asked, "Closing makes them “not given”")
    assert state(scene) == ("open", ["done", "due"])

    assertRedirects(teacher.post(scene.url("group-close"), {"sure": "1"}), scene.url("group-check"))
    assert state(scene) == ("closed", ["done", "not-given"])


def test_closing_twice_changes_nothing(teacher, scene):
    teacher.post(scene.url("group-close"), {"sure": "1"})
    scene.check.refresh_from_db()
    closed_at = scene.check.closed_at

    assertRedirects(teacher.post(scene.url("group-close"), {"sure": "1"}), scene.url("group-check"))

    scene.check.refresh_from_db()
    assert scene.check.closed_at == closed_at


def test_rows_typed_in_the_plain_form_are_saved_before_closing(teacher, scene):
    row = scene.row()
    form = {f"was-{row.public_id}": "0||||", f"first-{row.public_id}": "33", f"wrong-{row.public_id}": "1"}

    teacher.post(scene.url("group-close"), form | {"sure": "1"})

    assert state(scene) == ("closed", ["done", "not-given"])


def test_wrong_row_of_the_plain_form_keeps_the_check_open(teacher, scene):
    row = scene.row()
    form = {f"was-{row.public_id}": "0||||", f"first-{row.public_id}": "3x", f"wrong-{row.public_id}": "1"}

    answer = teacher.post(scene.url("group-close"), form | {"sure": "1"})

    assertContains(answer, "“3x” is not a whole number", status_code=422)
    assert state(scene) == ("open", ["due", "due"])


def test_cover_and_strangers_close_nothing(scene):
    people = [cover_for(scene), *(make.make_member(scene.school, role) for role in ("teacher", "coordinator", "head"))]

    answers = [make.sign_in(Client(), user).post(scene.url("group-close"), {"sure": "1"}) for user in people]

    assert [answer.status_code for answer in answers] == [404] * 4
    assert state(scene) == ("open", ["due", "due"])


def test_cover_who_teaches_elsewhere_closes_nothing_here(scene):
    user = cover_for(scene)
    make.join(user, scene.school, "teacher")

    answer = make.sign_in(Client(), user).post(scene.url("group-close"), {"sure": "1"})

    assert answer.status_code == 404
    assert state(scene) == ("open", ["due", "due"])


def test_coordinator_who_teaches_elsewhere_and_covers_here_is_offered_no_closing(scene):
    user = cover_for(scene)
    for role in ("teacher", "coordinator"):
        make.join(user, scene.school, role)
    client = make.sign_in(Client(), user)

    grid = client.get(scene.url()).context["grid"]

    assert (grid.is_open, grid.history, grid.may_close) == (True, True, False)
    assert client.post(scene.url("group-close"), {"sure": "1"}).status_code == 404
    assert state(scene) == ("open", ["due", "due"])


def test_closing_is_asked_for_by_post_only(teacher, scene):
    assert teacher.get(scene.url("group-close")).status_code == 405
    assert state(scene) == ("open", ["due", "due"])
