import pytest
from django.test import Client
from pytest_django.asserts import assertContains, assertRedirects

from tests import builders as make
from tests.web.score_grids import close, cover_for, make_scene
from tracker.models import AccessRecord

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def now(at_time):
    at_time(make.NOW)


@pytest.fixture
def scene():
    made = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    made.save(make.sign_in(Client(), made.teacher), correct=33, wrong=1)
    close(made)
    return made


@pytest.fixture
def teacher(scene):
    return make.sign_in(Client(), scene.teacher)


@pytest.fixture
def url(scene):
    return scene.url("group-correct", scene.row().public_id)


def form(**fields):
    return {
        "first": "38",
        "wrong": "1",
        "seconds": "",
        "status": "done",
        "why": "Two sheets mixed up",
        "version": "1",
    } | fields


def shown(page):
    return [(line.before, line.after, line.who, line.why) for line in page.context["lines"]]


def test_old_value_who_and_why_are_kept_and_listed(teacher, scene, url):
    assertRedirects(teacher.post(url, form()), url)

    page = teacher.get(url)
    assert scene.row().correct == 38
    assert shown(page) == [
        ("empty", "33 correct, 1 wrong", "Mira Solberg", ""),
        ("33 correct, 1 wrong", "38 correct, 1 wrong", "Mira Solberg", "Two sheets mixed up"),
    ]
    assertContains(page, "Two sheets mixed up")


def test_page_opens_with_the_values_as_they_are(teacher, url, scene):
    page = teacher.get(url)

    assert page.context["form"].initial["first"] == 33
    assertContains(page, "Correct the score of Anouk Verhaegen")
    assert list(AccessRecord.objects.values_list("pupil_key", flat=True)) == [scene.pupils[0].public_id]


def test_row_that_was_not_given_can_get_its_score(teacher, scene):
    row = scene.row(1)
    teacher.post(scene.url("group-correct", row.public_id), form(version=str(row.version)))

    assert (scene.row(1).status, scene.row(1).correct) == ("done", 38)


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"why": " "}, "why", "Say why the score is corrected."),
        ({"why": "x" * 301}, "why", "Say it in at most 300 characters."),
        ({"first": "3x"}, "first", "“3x” is not a whole number; type digits only."),
        ({"first": ""}, "first", "Type how many digits were correct, 0 if none."),
        ({"wrong": "-1"}, "wrong", "“-1” is not a whole number; type digits only."),
        ({"seconds": "0"}, "seconds", "The time is a whole number of seconds from 1 to 3600, or empty."),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(teacher, scene, url, fields, field, sentence):
    page = teacher.post(url, form(**fields))

    assert page.status_code == 422
    assert page.context["form"].errors == {field: [sentence]}
    assert (scene.row().correct, scene.row().version) == (33, 1)


def test_correction_of_an_older_version_is_refused(teacher, scene, url):
    teacher.post(url, form(first="36"))

    page = teacher.post(url, form(first="38"))

    assert page.context["form"].non_field_errors() == [
        "Somebody changed this score since you opened it; look at it again before you correct it."
    ]
    assert scene.row().correct == 36


def test_absent_takes_the_digits_away(teacher, scene, url):
    teacher.post(url, form(status="absent", why="Was at the doctor"))

    assert (scene.row().status, scene.row().correct) == ("absent", None)


def test_open_check_has_nothing_to_correct():
    open_scene = make_scene("Anouk Verhaegen")
    client = make.sign_in(Client(), open_scene.teacher)

    assert client.get(open_scene.url("group-correct", open_scene.row().public_id)).status_code == 404


def test_strangers_and_cover_find_nothing(scene, url):
    people = [cover_for(scene), *(make.make_member(scene.school, role) for role in ("teacher", "parent", "head"))]

    assert [make.sign_in(Client(), user).get(url).status_code for user in people] == [404] * 4


def test_page_asks_the_database_the_same_after_one_change_and_after_three(teacher, url, django_assert_num_queries):
    def count():
        # session, user, memberships; check, row, earlier attempts, stages, conflicts; record of opening in its
        # savepoint; changes, names
        with django_assert_num_queries(13):
            return len(teacher.get(url).context["lines"])

    assert count() == 1
    teacher.post(url, form(first="36", version="1"))
    teacher.post(url, form(first="37", version="2"))
    assert count() == 3
