import json

import pytest
from django.test import Client
from django.urls import reverse

from tests import builders as make
from tests.web.score_grids import close, cover_for, make_scene
from tracker.models import Attempt, ChangeRecord, Conflict

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


def test_saved_row_answers_what_it_shows(teacher, scene):
    minutes = scene.row().sheet.seconds / 60

    answer = scene.save(teacher, correct=33, wrong=1)

    said = answer.json()
    assert answer.status_code == 200
    assert (said["state"], said["version"], said["left"], said["dispute"]) == ("saved", 1, 1, None)
    assert (said["values"]["correct"], said["values"]["wrong"], said["values"]["status"]) == (33, 1, "done")
    assert said["answer"] == {
        "rate": f"{33 / minutes:.1f}",
        "accuracy": "97 %",
        "ruled": "rate",
        "stage": "few",
        "letter": "",
        "label": "too few checks",
        "doubt": None,
    }


def test_same_key_gives_back_the_stored_answer(teacher, scene):
    first = scene.save(teacher, correct=33, wrong=1).json()
    again = scene.save(teacher, correct=33, wrong=1).json()

    assert again == first | {"state": "same"}
    assert (scene.row().version, ChangeRecord.objects.filter(action="save-score").count()) == (1, 1)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"correct": -1, "wrong": 0}, "correct"),
        ({"correct": 1_000, "wrong": 0}, "correct"),
        ({"correct": "3a", "wrong": 0}, "correct"),
        ({"correct": 3.5, "wrong": 0}, "correct"),
        ({"correct": True, "wrong": 0}, "correct"),
        ({"correct": 30}, "wrong"),
        ({"correct": 30, "wrong": 0, "seconds": 0}, "seconds"),
        ({"status": "absent", "correct": 30}, "correct"),
        ({"status": "gone"}, "status"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence_beside_its_field(teacher, scene, typed, field):
    answer = scene.save(teacher, **typed)

    said = answer.json()
    assert (answer.status_code, said["error"], said["field"]) == (422, "refused", field)
    assert len(said["sentence"]) > 20
    assert list(Attempt.objects.values_list("status", "version").distinct()) == [("due", 0)]


def test_digits_of_other_scripts_are_numbers(teacher, scene):
    assert scene.save(teacher, correct="٣٣", wrong="۱").json()["values"]["correct"] == 33


@pytest.mark.parametrize(
    "body",
    ["", "[]", "{", '"x"', '{"typed": {}, "key": "k"}', '{"typed": 3, "key": "k", "base_version": 0}',
     '{"typed": {}, "key": 3, "base_version": 0}', '{"typed": {}, "key": "k", "base_version": "0"}',
     '{"typed": {}, "key": "k", "base_version": -1}', '{"typed": {}, "key": "k", "base_version": 9223372036854775808}',
     '{"typed": {}, "key": "a\\u0000b", "base_version": 0}', '{"typed": {}, "key": "\\ud800", "base_version": 0}',
     "[" * 100_000],
)  # fmt: skip
def test_what_the_grid_never_sends_is_unreadable(teacher, scene, body):
    answer = teacher.post(scene.save_url(), body, content_type="application/json")

    assert (answer.status_code, answer.json()) == (400, {"error": "unreadable"})


def test_other_value_from_an_old_version_is_kept_beside_the_row(teacher, scene):
    other = make.make_member(scene.school, "teacher", "Jun Castellanos")
    make.give_class(other, scene.group)
    scene.save(teacher, correct=33, wrong=1)

    said = scene.save(make.sign_in(Client(), other), key="k2", correct=35, wrong=0).json()

    assert (said["state"], said["version"], said["values"]["correct"]) == ("conflict", 1, 33)
    kept, lost = said["dispute"]["kept"], said["dispute"]["lost"]
    assert (kept["words"], kept["who"]) == ("33 correct, 1 wrong", "Mira Solberg")
    assert (lost["words"], lost["who"]) == ("35 correct, 0 wrong", "you")
    assert (scene.row().correct, Conflict.objects.get().public_id) == (33, said["dispute"]["conflict_id"])


def test_entries_that_differ_in_time_alone_say_the_time(teacher, scene):
    scene.save(teacher, correct=33, wrong=1, seconds=90)
    said = scene.save(teacher, key="k2", correct=33, wrong=1, seconds=95).json()

    assert said["dispute"]["kept"]["words"] == "33 correct, 1 wrong, in 90 s"
    assert said["dispute"]["lost"]["words"] == "33 correct, 1 wrong, in 95 s"


@pytest.mark.parametrize(("take", "kept"), [("lost", 35), ("kept", 33)])
def test_conflict_is_settled_by_one_of_the_two(teacher, scene, take, kept):
    scene.save(teacher, correct=33, wrong=1)
    conflict = scene.save(teacher, key="k2", correct=35, wrong=0).json()["dispute"]["conflict_id"]

    answer = teacher.post(scene.url("group-settle", conflict), {"take": take}, headers={"accept": "application/json"})

    assert (answer.json()["state"], answer.json()["values"]["correct"]) == ("saved", kept)
    assert scene.row().correct == kept
    assert teacher.get(scene.url()).context["grid"].rows[0].disputes == ()


def test_conflict_settled_otherwise_meanwhile_says_so(teacher, scene):
    scene.save(teacher, correct=33, wrong=1)
    conflict = scene.save(teacher, key="k2", correct=35, wrong=0).json()["dispute"]["conflict_id"]
    url = scene.url("group-settle", conflict)
    teacher.post(url, {"take": "lost"})

    by_script = teacher.post(url, {"take": "kept"}, headers={"accept": "application/json"})
    by_form = teacher.post(url, {"take": "kept"}, follow=True)

    sentence = "Somebody has settled this already; the row shows the values that were kept."
    assert (by_script.status_code, by_script.json()["sentence"]) == (422, sentence)
    assert [str(message) for message in by_form.context["messages"]] == [sentence]
    assert scene.row().correct == 35


def test_conflict_without_a_choice_stays_open(teacher, scene):
    scene.save(teacher, correct=33, wrong=1)
    conflict = scene.save(teacher, key="k2", correct=35, wrong=0).json()["dispute"]["conflict_id"]
    url = scene.url("group-settle", conflict)

    by_script = teacher.post(url, {"take": ""}, headers={"accept": "application/json"})
    by_form = teacher.post(url, {}, follow=True)

    sentence = "Choose which of the two entries is right."
    assert (by_script.status_code, by_script.json()["sentence"]) == (422, sentence)
    assert [str(message) for message in by_form.context["messages"]] == [sentence]
    assert Conflict.objects.get().settled_at is None


def test_ended_sign_in_is_said_in_json(scene):
    answer = scene.save(Client(), correct=33, wrong=1)

    assert (answer.status_code, answer.json()) == (401, {"error": "signed-out"})
    assert scene.row().version == 0


def test_page_of_one_person_never_saves_as_another(teacher, scene):
    sent = {"user": "somebodyelse", "key": "k1", "base_version": 0, "typed": {"correct": 33, "wrong": 1}}

    answer = teacher.post(scene.save_url(), json.dumps(sent), content_type="application/json")

    assert (answer.status_code, answer.json()) == (401, {"error": "other-user"})
    assert scene.row().version == 0


def test_stale_token_is_said_in_json(scene):
    client = make.sign_in(Client(enforce_csrf_checks=True), scene.teacher)

    answer = scene.save(client, correct=33, wrong=1)

    assert (answer.status_code, answer.json()) == (403, {"error": "stale"})
    token = client.get("/session/").json()
    assert token["user"] == scene.teacher.public_id


def test_closed_check_takes_no_rows(teacher, scene):
    close(scene)

    answer = scene.save(teacher, base=1, correct=33, wrong=1)

    assert answer.status_code == 422
    assert answer.json()["sentence"].startswith("This check is closed.")
    assert scene.row().status == "not-given"


def test_cover_saves_and_gets_no_stage(scene):
    make.make_history(scene.pupils[0], [(60, 1)] * 3)

    said = scene.save(make.sign_in(Client(), cover_for(scene)), correct=3, wrong=0).json()

    assert (said["state"], said["answer"]["stage"]) == ("saved", "")
    assert said["answer"]["doubt"] == {"code": "please-check", "sentence": "Please check this entry."}


def test_strangers_find_nothing(scene):
    others = [make.make_member(scene.school, role) for role in ("teacher", "parent", "coordinator", "office")]
    others.append(make.make_member(make.make_school("Second School"), "teacher"))

    answers = [scene.save(make.sign_in(Client(), user), correct=33, wrong=1).status_code for user in others]

    assert answers == [404] * 5
    assert scene.row().version == 0


def test_row_of_another_check_is_not_found_under_this_one(teacher, scene):
    other = make_scene("Carys Dunmore", school=make.make_school("Second School"))
    foreign = scene.url("group-save", other.row().public_id)
    sent = {"key": "k1", "base_version": 0, "typed": {"correct": 33, "wrong": 1}}

    assert teacher.post(foreign, json.dumps(sent), content_type="application/json").status_code == 404
    assert other.row().version == 0


def test_row_under_the_address_of_another_class_is_not_saved(teacher, scene):
    own = make.make_class(scene.school, "Otter", teacher=scene.teacher)
    address = reverse("group-save", args=[own.public_id, scene.check.public_id, scene.row().public_id])
    sent = {"key": "k1", "base_version": 0, "typed": {"correct": 33, "wrong": 1}}

    assert teacher.post(address, json.dumps(sent), content_type="application/json").status_code == 404
    assert (scene.row().status, scene.row().version) == ("due", 0)
