from datetime import date, timedelta

import pytest

from tests import builders as make
from tests.actions.scene import ON, colleague_of, cover_of, make_scene, stranger_at, visitor_to
from tracker.actions.checks import PlannedRow
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.scores import Typed, save_row, settle_conflict
from tracker.models import Answer, Attempt, ChangeRecord, Conflict, MasteryEvent, SaveKey, Standing

DONE = Typed(correct=36, wrong=4, seconds=120)


@pytest.fixture
def scene(db):
    return make_scene()


@pytest.fixture
def row(scene):
    return scene.row(scene.pupil())


def test_saved_row_answers_rate_accuracy_stage_and_what_is_left(scene, row):
    make.make_attempt(row.check_sat, scene.pupil("Ilse"))

    result = scene.save(row, DONE)

    # 36 digits in two minutes; 36 of 40 digits right
    assert (result.state, result.version, result.rate, result.accuracy) == ("saved", 1, 18.0, 0.9)
    assert (result.stage, result.doubt, result.left) == ("few", None, 1)
    assert result.values == {
        "correct": 36, "wrong": 4, "omitted": None, "reached": None, "seconds": 120, "status": "done"
    }  # fmt: skip


def test_rate_and_accuracy_are_those_of_the_worked_example(scene, row):
    # facts of the trade, section 2, computed there: 26 correct and 4 wrong in 120 s are 13.0 a minute and 86.67 %
    result = scene.save(row, Typed(correct=26, wrong=4, seconds=120))

    assert (result.rate, round(result.accuracy, 4)) == (13.0, 0.8667)


def test_nothing_written_has_a_rate_of_zero_and_no_accuracy(scene, row):
    # facts of the trade, section 2: 0 correct, 0 wrong: 0.0 a minute, accuracy undefined, not 0 %
    result = scene.save(row, Typed(correct=0, wrong=0, seconds=60))

    assert (result.rate, result.accuracy) == (0.0, None)


def test_row_takes_the_time_of_its_sheet_when_none_was_typed(scene, row):
    result = scene.save(row, Typed(correct=30, wrong=0))

    assert result.values["seconds"] == row.sheet.seconds == 180
    assert result.rate == 10.0


def test_row_planned_without_a_clock_stays_untimed(scene):
    row = scene.row(scene.pupil(), timed=False)

    result = scene.save(row, Typed(correct=30, wrong=2))

    assert (result.values["seconds"], result.rate, result.accuracy) == (None, None, 0.9375)


def test_last_item_reached_gives_the_three_counts(scene, row):
    running = list(row.sheet.items.order_by("number").values_list("running_digits", flat=True))

    result = scene.save(row, Typed(reached=10, wrong=3, omitted=1, seconds=120))

    assert result.values["correct"] == running[9] - 4
    row.refresh_from_db()
    assert (row.typed_as, row.reached, row.wrong, row.omitted) == ("reached-wrong", 10, 3, 1)


@pytest.mark.parametrize(
    ("typed", "queries"),
    [(Typed(correct=30, wrong=2, seconds=120), 9), (Typed(reached=14, wrong=2, seconds=120), 10)],
    ids=["digits", "last-item"],
)
@pytest.mark.parametrize("earlier", [0, 9])
def test_saving_takes_few_statements_however_long_the_history(
    scene, typed, queries, earlier, django_assert_num_queries
):
    pupil = scene.pupil()
    make.make_history(pupil, [(28, 2)] * earlier)
    row = scene.row(pupil)

    # The savepoint of the test's own transaction adds two.
    with django_assert_num_queries(queries + 2):
        scene.save(row, typed)


def test_save_leaves_one_line_with_old_and_new_values(scene, row):
    scene.save(row, DONE)
    scene.save(row, Typed(correct=37, wrong=4, seconds=120), base_version=1)

    lines = list(ChangeRecord.objects.filter(action="save-score").order_by("pk"))
    assert [(line.before["correct"], line.after["correct"]) for line in lines] == [(None, 36), (36, 37)]
    assert {(line.subject_key, line.pupil_key, line.by_key) for line in lines} == {
        (row.public_id, row.pupil.public_id, scene.by.user.pk)
    }


def test_save_refreshes_the_series_and_the_current_row(scene, row):
    scene.save(row, DONE)

    found = Standing.objects.order_by("is_current").values_list("is_current", "place", "mode", "last_rate", "checks")
    assert list(found) == [(False, "school", "written", 18.0, 1), (True, "", "", 18.0, 1)]


def test_row_cleared_again_leaves_no_standing_behind(scene, row):
    scene.save(row, DONE)

    result = scene.save(row, Typed(status="due"), base_version=1)

    assert (result.values["status"], result.left, result.rate) == ("due", 1, None)
    assert not Standing.objects.exists()


def test_absent_row_is_no_longer_left_and_has_no_counts(scene, row):
    result = scene.save(row, Typed(status="absent"))

    assert (result.values["status"], result.values["correct"], result.left) == ("absent", None, 0)


def test_stopped_row_may_hold_counts_that_serve_accuracy_but_no_rate(scene, row):
    result = scene.save(row, Typed(status="stopped", correct=9, wrong=1))

    assert (result.rate, result.accuracy) == (None, 0.9)


def test_stopped_row_may_be_empty(scene, row):
    result = scene.save(row, Typed(status="stopped"))

    assert (result.values["status"], result.values["correct"], result.accuracy) == ("stopped", None, None)


def test_same_key_gives_the_stored_result_and_stores_nothing_again(scene, row):
    first = scene.save(row, DONE, key="once")

    again = scene.save(row, DONE, key="once")

    assert again.state == "same"
    assert {**again.as_json(), "state": "saved"} == first.as_json()
    assert ChangeRecord.objects.filter(action="save-score").count() == 1


def test_same_key_still_answers_after_the_check_was_closed(scene, row):
    first = scene.save(row, DONE, key="once")
    scene.close(row.check_sat)

    assert scene.save(row, DONE, key="once").version == first.version


def test_key_of_another_row_is_refused(scene, row):
    other = make.make_attempt(row.check_sat, scene.pupil("Ilse"))
    scene.save(row, DONE, key="once")

    with pytest.raises(Refused):
        scene.save(other, DONE, key="once")

    other.refresh_from_db()
    assert other.status == "due"


def test_two_people_may_use_the_same_key(scene, row):
    scene.save(row, DONE, key="once")

    result = scene.save(
        row, Typed(correct=37, wrong=4, seconds=120), key="once", base_version=1, by=colleague_of(scene)
    )

    assert (result.state, result.version) == ("saved", 2)


@pytest.mark.parametrize("key", ["", "k" * 41])
def test_key_that_no_page_makes_is_refused(scene, row, key):
    with pytest.raises(Refused):
        scene.save(row, DONE, key=key)


def test_other_values_from_an_old_base_become_a_conflict_and_both_are_told(scene, row):
    other = colleague_of(scene)
    scene.save(row, DONE)

    result = scene.save(row, Typed(correct=26, wrong=4, seconds=120), by=other)

    assert (result.state, result.version, result.rate) == ("conflict", 1, 18.0)
    assert (result.values["correct"], result.lost["correct"]) == (36, 26)
    kept = Conflict.objects.get(public_id=result.conflict_id)
    assert (kept.kept["correct"], kept.lost["correct"], kept.kept_by, kept.lost_by) == (
        36, 26, scene.by.user, other.user
    )  # fmt: skip
    row.refresh_from_db()
    assert (row.correct, row.version) == (36, 1)


def test_repeated_conflict_is_the_same_conflict(scene, row):
    other = colleague_of(scene)
    scene.save(row, DONE)

    first = scene.save(row, Typed(correct=26, wrong=4, seconds=120), by=other, key="lost")
    again = scene.save(row, Typed(correct=26, wrong=4, seconds=120), by=other, key="lost")

    assert again == first
    assert Conflict.objects.count() == 1


def test_same_values_from_an_old_base_are_no_conflict(scene, row):
    scene.save(row, DONE)

    result = scene.save(row, DONE, by=colleague_of(scene))

    assert (result.state, result.version, Conflict.objects.count()) == ("same", 1, 0)


def test_same_values_counted_the_other_way_are_no_conflict(scene, row):
    running = list(row.sheet.items.order_by("number").values_list("running_digits", flat=True))
    scene.save(row, Typed(reached=10, wrong=2, seconds=120))

    result = scene.save(row, Typed(correct=running[9] - 2, wrong=2, omitted=0, seconds=120), by=colleague_of(scene))

    assert (result.state, Conflict.objects.count()) == ("same", 0)


@pytest.mark.parametrize(("take_lost", "correct", "rate"), [(True, 26, 13.0), (False, 36, 18.0)])
def test_settled_conflict_keeps_the_chosen_values(scene, row, take_lost, correct, rate):
    other = colleague_of(scene)
    scene.save(row, DONE)
    lost = scene.save(row, Typed(correct=26, wrong=4, seconds=120), by=other)

    result = settle_conflict(conflict_id=lost.conflict_id, take_lost=take_lost, by=scene.by, on=ON)

    assert (result.state, result.values["correct"], result.rate) == ("saved", correct, rate)
    row.refresh_from_db()
    assert row.correct == correct
    assert Standing.objects.get(is_current=True).last_rate == rate
    kept = Conflict.objects.get()
    assert (kept.settled_by, kept.took_lost) == (scene.by.user, take_lost)


def test_conflict_settled_twice_alike_changes_nothing_and_otherwise_is_refused(scene, row):
    scene.save(row, DONE)
    lost = scene.save(row, Typed(correct=26, wrong=4, seconds=120), by=colleague_of(scene))
    settle_conflict(conflict_id=lost.conflict_id, take_lost=True, by=scene.by, on=ON)

    again = settle_conflict(conflict_id=lost.conflict_id, take_lost=True, by=scene.by, on=ON)

    assert (again.state, again.version) == ("same", 2)
    with pytest.raises(Refused):
        settle_conflict(conflict_id=lost.conflict_id, take_lost=False, by=scene.by, on=ON)


def test_conflict_of_a_closed_check_is_settled_by_those_who_correct(scene, row):
    scene.save(row, DONE)
    cover = cover_of(scene)
    lost = scene.save(row, Typed(correct=26, wrong=4, seconds=120), by=cover)
    scene.close(row.check_sat)

    with pytest.raises(OutOfScope):
        settle_conflict(conflict_id=lost.conflict_id, take_lost=True, by=cover, on=ON)
    result = settle_conflict(conflict_id=lost.conflict_id, take_lost=True, by=scene.by, on=ON)

    assert (result.values["correct"], Standing.objects.get(is_current=True).last_rate) == (26, 13.0)


def test_conflict_of_another_class_is_out_of_reach(scene, row):
    scene.save(row, DONE)
    lost = scene.save(row, Typed(correct=26, wrong=4, seconds=120), by=colleague_of(scene))

    with pytest.raises(OutOfScope):
        settle_conflict(conflict_id=lost.conflict_id, take_lost=True, by=stranger_at(scene), on=ON)


def test_entry_unlike_the_last_checks_is_asked_about(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(62, 1)] * 4)
    row = scene.row(pupil)

    result = scene.save(row, Typed(correct=7, wrong=0, seconds=120))

    assert result.doubt["code"] == "unlike-last-checks"
    assert result.doubt["sentence"] == "Please check this entry: usually about 64 digits correct, now 7."
    confirmed = scene.save(row, Typed(correct=7, wrong=0, seconds=120, confirmed=True), base_version=1)
    assert (confirmed.state, confirmed.doubt) == ("saved", None)


@pytest.mark.parametrize("covers", [cover_of, visitor_to], ids=["cover", "teacher of another class"])
def test_covering_teacher_gets_a_bare_question_and_no_stage(scene, covers):
    pupil = scene.pupil()
    make.make_history(pupil, [(62, 1)] * 4)
    row, by = scene.row(pupil), covers(scene)

    result = scene.save(row, Typed(correct=7, wrong=0, seconds=120), by=by)

    assert (result.rate, result.accuracy, result.stage) == (3.5, 1.0, "")
    assert result.doubt == {"code": "please-check", "sentence": "Please check this entry."}
    same = scene.save(row, Typed(correct=7, wrong=0, seconds=120), by=by)
    assert (same.state, same.stage, same.doubt) == ("same", "", result.doubt)


def test_coordinator_who_covers_still_sees_what_was_before(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(62, 1)] * 4)

    result = scene.save(scene.row(pupil), Typed(correct=7, wrong=0, seconds=120), by=visitor_to(scene, "coordinator"))

    assert (result.stage, result.doubt["code"]) == ("secure", "unlike-last-checks")


def test_teacher_who_covers_elsewhere_keeps_what_was_before_in_the_own_class(scene):
    make.make_class(scene.school, "Otter")
    make.join(scene.by.user, scene.school, "cover")
    pupil = scene.pupil()
    make.make_history(pupil, [(62, 1)] * 4)

    by = make.viewer(scene.by.user, scene.school)
    result = scene.save(scene.row(pupil), Typed(correct=7, wrong=0, seconds=120), by=by)

    assert (by.roles, result.doubt["code"]) == ({"teacher", "cover"}, "unlike-last-checks")
    assert result.stage != ""


def test_finished_sheet_asks_for_its_time_until_it_has_one(scene, row):
    items = row.sheet.items.count()

    asked = scene.save(row, Typed(reached=items, wrong=0))
    told = scene.save(row, Typed(reached=items, wrong=0, seconds=171), base_version=1)

    assert asked.doubt == {
        "code": "finished-needs-time", "sentence": "The whole sheet was finished. How many seconds did it take?"
    }  # fmt: skip
    assert (asked.state, told.doubt, told.values["seconds"]) == ("saved", None, 171)


def test_finished_sheet_of_an_untimed_row_asks_nothing(scene):
    row = scene.row(scene.pupil(), timed=False)

    assert scene.save(row, Typed(reached=row.sheet.items.count(), wrong=0)).doubt is None


def test_closed_check_points_to_correcting(scene, row):
    scene.close(row.check_sat)

    with pytest.raises(Refused) as refused:
        scene.save(row, DONE)

    assert refused.value.sentence == (
        "This check is closed. A teacher of the class can still correct a score: open the check and the row."
    )


def test_row_counted_from_answers_is_locked(scene, row):
    item = row.sheet.items.first()
    Answer.objects.create(school=scene.school, attempt=row, item=item, written="5")

    with pytest.raises(Refused):
        scene.save(row, DONE)


def test_teacher_of_another_class_and_the_office_reach_nothing(scene, row):
    office = make.viewer(make.make_member(scene.school, "office"), scene.school)

    for viewer in (stranger_at(scene), office):
        with pytest.raises(OutOfScope):
            scene.save(row, DONE, by=viewer)

    row.refresh_from_db()
    assert (row.status, SaveKey.objects.count()) == ("due", 0)


def test_row_of_another_check_is_out_of_reach(scene, row):
    other = make.make_check(scene.group)

    with pytest.raises(OutOfScope):
        save_row(
            check_id=other.public_id,
            attempt_id=row.public_id,
            typed=DONE,
            key="k",
            base_version=0,
            by=scene.by,
            on=ON,
        )


def test_recorded_day_keeps_the_stage_whatever_comes_later(scene):
    pupil = scene.pupil()
    row = scene.row(pupil)
    MasteryEvent.objects.create(
        school=scene.school,
        pupil=pupil,
        skill=row.skill,
        kind="secure",
        on=date(2026, 10, 2),
        mark_accuracy=0.95,
        mark_rate=20,
        mark_source="school",
        measures_version="1",
        recorded_at=make.NOW,
    )

    result = scene.save(row, Typed(correct=9, wrong=8, seconds=120))

    assert result.stage == "secure"
    assert Standing.objects.get(is_current=True).secure_on == date(2026, 10, 2)


def test_row_typed_at_home_has_a_series_of_its_own_and_enters_no_stage(scene, row):
    result = scene.save(row, Typed(correct=50, wrong=0, seconds=120, setting="home", mode="written"))

    assert (result.rate, result.stage) == (25.0, "not-started")
    rows = Standing.objects.order_by("is_current").values_list("place", "stage", "checks")
    assert list(rows) == [("away", "", 1), ("", "not-started", 0)]


def test_check_planned_ahead_takes_no_score_before_its_day(scene):
    check = scene.plan(PlannedRow(scene.pupil().public_id, "sub-2d-regroup"), on=ON + timedelta(days=3))
    row = check.attempts.select_related("check_sat").get()

    with pytest.raises(Refused) as refused:
        scene.save(row, DONE)

    assert (refused.value.field, Attempt.objects.get().status) == ("taken_on", "due")
    assert scene.save(row, Typed(correct=36, wrong=4, taken_on=ON)).state == "saved"
