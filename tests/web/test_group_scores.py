import re
from html import unescape

import pytest
from django.test import Client
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from tests import builders as make
from tests.web.score_grids import close, cover_for, make_scene
from tracker.models import Attempt, SaveKey

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


def boxes(page):
    """The form as a browser without scripts would send it."""
    text = page.content.decode()
    form = text[text.index('id="scores"') : text.index("</form>", text.index('id="scores"'))]
    found = {}
    for tag in re.findall(r"<input\b[^>]*>", form):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        found[name[1]] = unescape(value[1]) if value else ""
    for name, inside in re.findall(r'<select class="input" name="([^"]*)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', inside)
        found[name] = chosen[1] if chosen else ""
    return found


def filled(page, scene, *rows):
    """`rows` are (number of the row, first box, second box)."""
    form = boxes(page)
    for number, first, wrong in rows:
        key = scene.row(number).public_id
        form |= {f"first-{key}": first, f"wrong-{key}": wrong}
    return form


def counts(scene, number=0):
    row = scene.row(number)
    return row.status, row.correct, row.wrong, row.version


def test_each_row_has_its_own_skill_and_sheet(teacher, scene):
    page = teacher.get(scene.url())

    rows = page.context["grid"].rows
    sheet = scene.row().sheet
    assert [(row.name, row.skill) for row in rows] == [
        ("Anouk Verhaegen", ("− two-digit", "regrouping")),
        ("Bilal Chaudry", ("− two-digit", "regrouping")),
    ]
    assert rows[0].remarks == (f"sheet {sheet.code}",)
    assert (rows[0].holds, rows[0].planned) == (sheet.digits_possible, sheet.seconds)
    assertContains(page, "<b data-left>2</b> left of 2", html=False)


def test_saved_row_shows_rate_accuracy_stage_and_survives_a_reload(teacher, scene):
    scene.save(teacher, correct=33, wrong=1)

    row = teacher.get(scene.url()).context["grid"].rows[0]
    minutes = scene.row().sheet.seconds / 60
    assert (row.correct, row.wrong, row.version) == (33, 1, 1)
    # Digits a minute and the share of the written ones that are right: facts of the trade, computed by hand here.
    assert (row.answer.rate, row.answer.accuracy) == (f"{33 / minutes:.1f}", "97 %")
    assert (row.answer.stage, row.answer.ruled) == ("few", "rate")


def test_doubtful_entry_is_still_marked_after_a_reload(teacher, scene):
    make.make_history(scene.pupils[0], [(40, 1)] * 3)
    saved = scene.save(teacher, correct=2, wrong=0).json()

    row = teacher.get(scene.url()).context["grid"].rows[0]
    assert saved["answer"]["doubt"]["code"] == "unlike-last-checks"
    assert row.answer.doubt.sentence == saved["answer"]["doubt"]["sentence"]
    assert row.state == "doubt"


def test_confirmed_entry_is_in_doubt_no_more(teacher, scene):
    make.make_history(scene.pupils[0], [(40, 1)] * 3)
    scene.save(teacher, correct=2, wrong=0)
    scene.save(teacher, key="k2", base=1, correct=2, wrong=0, confirmed=True)

    assert teacher.get(scene.url()).context["grid"].rows[0].answer.doubt is None


def test_finished_sheet_asks_for_its_time(teacher, scene):
    holds = scene.row().sheet.digits_possible
    saved = scene.save(teacher, correct=holds, wrong=0).json()

    row = teacher.get(scene.url()).context["grid"].rows[0]
    assert saved["answer"]["doubt"]["code"] == row.answer.doubt.code == "finished-needs-time"
    scene.save(teacher, key="k2", base=1, correct=holds, wrong=0, seconds=95)
    row = teacher.get(scene.url()).context["grid"].rows[0]
    assert (row.answer.doubt, row.seconds, row.answer.rate) == (None, 95, f"{holds * 60 / 95:.1f}")


def test_school_that_types_the_last_item_has_that_box(at_time):
    scene = make_scene(typing="reached-wrong")
    client = make.sign_in(Client(), scene.teacher)

    page = client.get(scene.url())
    saved = scene.save(client, reached=10, wrong=1).json()
    digits = scene.row().sheet.items.get(number=10).running_digits
    assert page.context["grid"].rows[0].first == "reached"
    assertContains(page, "Last item reached")
    assert (saved["values"]["correct"], saved["values"]["reached"]) == (digits - 1, 10)
    assert client.get(scene.url()).context["grid"].rows[0].first_value == 10


def test_row_typed_the_other_way_keeps_its_box(at_time):
    scene = make_scene(typing="reached-wrong")
    client = make.sign_in(Client(), scene.teacher)
    scene.save(client, correct=30, wrong=1)

    row = client.get(scene.url()).context["grid"].rows[0]
    assert (row.first, row.unusual, row.first_value) == ("correct", True, 30)


def test_plain_form_saves_all_rows(teacher, scene):
    page = teacher.get(scene.url())

    answer = teacher.post(scene.url(), filled(page, scene, (0, "33", "1"), (1, "28", "0")))

    assertRedirects(answer, scene.url())
    assert [counts(scene, 0), counts(scene, 1)] == [("done", 33, 1, 1), ("done", 28, 0, 1)]


def test_plain_form_reads_digits_of_other_scripts(teacher, scene):
    page = teacher.get(scene.url())
    teacher.post(scene.url(), filled(page, scene, (0, "٣٣", "१")))

    assert counts(scene) == ("done", 33, 1, 1)


@pytest.mark.parametrize(
    ("first", "wrong", "sentence", "field"),
    [
        ("3a", "1", "“3a” is not a whole number; type digits only.", "correct"),
        ("33", "", "Type how many digits were wrong, 0 if none.", "wrong"),
        ("-3", "1", "“-3” is not a whole number; type digits only.", "correct"),
        ("3.5", "1", "“3.5” is not a whole number; type digits only.", "correct"),
        ("1234567890", "1", "“1234567890” is not a whole number; type digits only.", "correct"),
        ("1000", "1", "Digits correct is a whole number from 0 to 999.", "correct"),
    ],
)
def test_plain_form_says_what_is_wrong_and_keeps_everything(teacher, scene, first, wrong, sentence, field):
    page = teacher.get(scene.url())

    answer = teacher.post(scene.url(), filled(page, scene, (0, first, wrong), (1, "28", "0")))

    line = answer.context["lines"][0]
    assert answer.status_code == 422
    assert (line.error, line.field, line.first, line.wrong) == (sentence, field, first, wrong)
    assertContains(answer, sentence, status_code=422)
    assert boxes(answer)[f"first-{scene.row().public_id}"] == first
    assert [counts(scene, 0), counts(scene, 1)] == [("due", None, None, 0), ("done", 28, 0, 1)]


def test_mended_row_is_saved_from_the_page_that_complained(teacher, scene):
    page = teacher.get(scene.url())
    answer = teacher.post(scene.url(), filled(page, scene, (0, "3a", "1"), (1, "28", "0")))

    assertRedirects(teacher.post(scene.url(), filled(answer, scene, (0, "31", "1"))), scene.url())

    assert [counts(scene, 0), counts(scene, 1)] == [("done", 31, 1, 1), ("done", 28, 0, 1)]


def test_plain_form_sent_twice_saves_once(teacher, scene):
    form = filled(teacher.get(scene.url()), scene, (0, "33", "1"))
    teacher.post(scene.url(), form)
    teacher.post(scene.url(), form)

    assert counts(scene) == ("done", 33, 1, 1)
    assert SaveKey.objects.count() == 1


def test_plain_form_from_before_another_persons_save_writes_over_nothing(teacher, scene):
    form = filled(teacher.get(scene.url()), scene, (0, "33", "1"))
    scene.save(teacher, key="from-elsewhere", correct=35, wrong=0)

    page = teacher.post(scene.url(), form, follow=True)

    assert counts(scene) == ("done", 35, 0, 1)
    dispute = page.context["grid"].rows[0].disputes[0]
    assert (dispute.kept.words, dispute.lost.words) == ("35 correct, 0 wrong", "33 correct, 1 wrong")
    assertContains(page, "Two entries were typed for this row. Which is right?")


@pytest.mark.parametrize("was", ["", "|||", "-1|||", "x|||", "9999999999|||"])
def test_plain_form_that_lost_the_version_writes_over_nothing(teacher, scene, was):
    attempt = scene.row().public_id
    form = {f"was-{attempt}": was, f"first-{attempt}": "33", f"wrong-{attempt}": "1"}

    assertRedirects(teacher.post(scene.url(), form), scene.url())
    assert counts(scene) == ("done", 33, 1, 1)
    teacher.post(scene.url(), form | {f"first-{attempt}": "35"})
    assert (counts(scene), scene.row().conflicts.count()) == (("done", 33, 1, 1), 1)


def test_plain_form_with_a_broken_page_key_is_saved(teacher, scene):
    form = filled(teacher.get(scene.url()), scene, (0, "33", "1"))

    assertRedirects(teacher.post(scene.url(), form | {"page_key": "a\x00b"}), scene.url())
    assert counts(scene) == ("done", 33, 1, 1)
    assert SaveKey.objects.get().key.isprintable()


def test_plain_form_leaves_rows_alone_that_others_changed_meanwhile(teacher, scene):
    form = filled(teacher.get(scene.url()), scene, (0, "33", "1"))
    scene.save(teacher, 1, key="from-elsewhere", correct=35, wrong=0)

    page = teacher.post(scene.url(), form, follow=True)

    assert [counts(scene, 0), counts(scene, 1)] == [("done", 33, 1, 1), ("done", 35, 0, 1)]
    assert [row.disputes for row in page.context["grid"].rows] == [(), ()]


def test_plain_form_marks_absent_and_stopped_and_opens_again(teacher, scene):
    form = boxes(teacher.get(scene.url()))
    one, two = (scene.row(n).public_id for n in (0, 1))
    teacher.post(
        scene.url(),
        form | {f"status-{one}": "absent", f"status-{two}": "stopped", f"first-{two}": "12", f"wrong-{two}": "1"},
    )
    assert [counts(scene, 0), counts(scene, 1)] == [("absent", None, None, 1), ("stopped", 12, 1, 1)]

    teacher.post(scene.url(), boxes(teacher.get(scene.url())) | {f"status-{one}": ""})
    assert [counts(scene, 0), counts(scene, 1)] == [("due", None, None, 2), ("stopped", 12, 1, 1)]


def test_plain_form_confirms_a_doubtful_entry(teacher, scene):
    make.make_history(scene.pupils[0], [(40, 1)] * 3)
    scene.save(teacher, correct=2, wrong=0)
    form = boxes(teacher.get(scene.url()))

    teacher.post(scene.url(), form | {"confirm": scene.row().public_id})

    assert scene.row().confirmed is True


def test_more_wrong_than_the_sheet_holds_can_be_confirmed(teacher, scene):
    holds = scene.row().sheet.digits_possible
    page = teacher.get(scene.url())

    answer = teacher.post(scene.url(), filled(page, scene, (0, str(holds), "3")))
    assert answer.context["lines"][0].may_confirm is True
    teacher.post(scene.url(), filled(answer, scene, (0, str(holds), "3")) | {"confirm": scene.row().public_id})

    assert counts(scene) == ("done", holds, 3, 1)


def test_covering_teacher_sees_rate_and_accuracy_and_nothing_of_before(scene, teacher):
    make.make_history(scene.pupils[0], [(40, 1)] * 3)
    scene.save(teacher, correct=2, wrong=0)
    make.make_standing(scene.pupils[1])

    page = make.sign_in(Client(), cover_for(scene)).get(scene.url())

    row = page.context["grid"].rows[0]
    assert (row.answer.accuracy, row.answer.stage, row.answer.ruled) == ("100 %", "", "")
    assert row.answer.doubt.sentence == "Please check this entry."
    text = page.content.decode()
    main = text[text.index("<main") : text.index("</main>")]
    assert re.findall(r'href="(/[^"]*)"', main.replace('href="/static', "")) == [
        "/today/",
        f"/account/sign-in/?next={scene.url()}",
    ]
    assertNotContains(page, "/close/")
    assertNotContains(page, 'data-stage="')


def test_teacher_of_another_class_who_covers_sees_no_stage_here(scene):
    user = cover_for(scene)
    make.join(user, scene.school, "teacher")
    make.make_class(scene.school, "Otter", teacher=user)
    client = make.sign_in(Client(), user)
    make.make_history(scene.pupils[0], [(40, 1)] * 3)

    saved = scene.save(client, correct=2, wrong=0).json()

    assert (saved["answer"]["stage"], saved["answer"]["doubt"]["sentence"]) == ("", "Please check this entry.")
    page = client.get(scene.url())
    assert page.context["grid"].rows[0].answer.stage == ""
    assertNotContains(page, "/close/")


def test_closed_check_is_read_and_corrected_row_by_row(teacher, scene):
    scene.save(teacher, correct=33, wrong=1)
    close(scene)

    page = teacher.get(scene.url())

    assertContains(page, "This check is closed.")
    assertContains(page, scene.url("group-correct", scene.row().public_id))
    assertNotContains(page, '<input class="box"')
    assert [row.status for row in page.context["grid"].rows] == ["done", "not-given"]


def test_coordinator_reads_an_open_check_and_types_nothing(scene):
    client = make.sign_in(Client(), make.make_member(scene.school, "coordinator"))

    page = client.get(scene.url())

    assertContains(page, "here they can be read")
    assertNotContains(page, '<input class="box"')


def test_check_without_rows_says_so(teacher, scene):
    empty = make.make_check(scene.group, on=make.TODAY)
    page = teacher.get(scene.url().replace(scene.check.public_id, empty.public_id))

    assertContains(page, "Nobody is in this check")


def test_strangers_find_nothing(scene):
    others = [make.make_member(scene.school, "teacher"), make.make_member(scene.school, "parent")]
    others.append(make.make_member(make.make_school("Second School"), "coordinator"))

    assert [make.sign_in(Client(), user).get(scene.url()).status_code for user in others] == [404, 404, 404]


def test_check_of_another_class_is_not_found_under_this_one(teacher, scene):
    other = make.make_class(scene.school, "Otter", teacher=scene.teacher)

    assert teacher.get(scene.url().replace(scene.group.public_id, other.public_id)).status_code == 404
    assert Attempt.objects.filter(status="due").count() == 2


@pytest.mark.parametrize("number", [1, 3, 30])
def test_page_asks_the_database_the_same_for_one_pupil_and_for_thirty(number, django_assert_num_queries):
    scene = make_scene(*(f"Pupil{n:02d} Name{n:02d}" for n in range(number)))
    client = make.sign_in(Client(), scene.teacher)
    for n in range(number):
        make.make_history(scene.pupils[n], [(40, 1)])
    scene.save(client, correct=33, wrong=1)

    # session, user, memberships; the check, its rows, earlier attempts, stages, conflicts
    with django_assert_num_queries(8):
        page = client.get(scene.url())

    assert len(page.context["grid"].rows) == number


def test_page_of_a_cover_asks_once_less(scene, django_assert_num_queries):
    client = make.sign_in(Client(), cover_for(scene))

    with django_assert_num_queries(7):
        assert client.get(scene.url()).status_code == 200
