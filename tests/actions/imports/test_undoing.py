"""Undoing a file: what it brought goes, and a sentence says why when somebody has built on it."""

from datetime import timedelta

import pytest

from tests import builders as make
from tests.actions.imports.files import KEY, ON, make_office, scores, table
from tests.actions.scene import Scene
from tracker.actions.checks import PlannedRow
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.flags import see_flag
from tracker.actions.imports.undoing import undo
from tracker.actions.rosters import PupilDetails, add_pupil, change_pupil, move_pupil
from tracker.actions.scores import Typed
from tracker.models import (
    Attempt,
    ChangeRecord,
    Check,
    ClassGroup,
    Enrolment,
    Flag,
    Guardian,
    Intervention,
    MasteryEvent,
    Note,
    Pupil,
    Review,
    Standing,
)

WEEK = timedelta(days=7)
ROSTER = "reference,given name,family name,class,grade"


@pytest.fixture
def office(db):
    return make_office()


@pytest.fixture
def scene(office):
    teacher = make.make_member(office.school, "teacher")
    make.give_class(teacher, office.group)
    return Scene(office.school, office.group, make.viewer(teacher, office.school))


def refusal(office, batch):
    with pytest.raises(Refused) as caught:
        office.undo(batch)
    batch.refresh_from_db()
    assert batch.undone_at is None
    return caught.value.sentence


def weak_class(office):
    """Anouk below the gate for eight weeks beside two who are not."""
    pupils = [office.pupil(name, school_ref=name) for name in ("Anouk", "Ben", "Cem")]
    values = {"Anouk": (20, 9), "Ben": (60, 0), "Cem": (60, 0)}
    rows = [
        [pupil.school_ref, KEY, ON - week * WEEK, *values[pupil.given_name], 120]
        for week in range(8)
        for pupil in pupils
    ]
    return pupils, scores(*rows)


def test_scores_flags_and_recorded_days_go_and_no_empty_check_is_left(office):
    _pupils, content = weak_class(office)
    batch = office.load(content)
    assert (Flag.objects.get().kind, MasteryEvent.objects.count()) == ("accuracy-low", 4)

    office.undo(batch)

    assert (Attempt.objects.count(), Check.objects.count(), Standing.objects.count()) == (0, 0, 0)
    assert MasteryEvent.objects.count() == 0
    flag = Flag.objects.get()
    assert (flag.state, flag.ended_why) == ("withdrawn", "The file that this rested on was undone.")
    batch.refresh_from_db()
    assert batch.undone_at is not None
    assert ChangeRecord.objects.filter(action="undo-import", subject_key=batch.public_id).count() == 1


def test_undone_file_loads_again(office):
    _pupils, content = weak_class(office)
    office.undo(office.load(content))

    again = office.load(content)

    assert (again.made, again.same) == (24, 0)
    assert Flag.objects.filter(state="open").count() == 1
    assert MasteryEvent.objects.count() == 4


def test_scores_that_stood_before_stay_with_what_rests_on_them(office):
    pupils, content = weak_class(office)
    first = office.load(content)
    events = set(MasteryEvent.objects.values_list("pk", "on"))
    stages = list(Standing.objects.filter(is_current=True).order_by("pupil").values_list("stage", "checks"))

    office.undo(office.load(scores(*([pupil.school_ref, "add-tens", ON, 40, 0, 60] for pupil in pupils))))

    assert Attempt.objects.filter(import_batch=first).count() == 24
    assert set(MasteryEvent.objects.values_list("pk", "on")) == events
    now = Standing.objects.filter(is_current=True).order_by("pupil").values_list("stage", "checks")
    assert list(now) == stages
    assert Flag.objects.get().state == "open"


def test_undoing_twice_is_refused(office):
    batch = office.load(weak_class(office)[1])
    office.undo(batch)

    with pytest.raises(Refused) as caught:
        office.undo(batch)

    assert caught.value.sentence == "This file was undone before."


def test_batch_of_another_school_is_out_of_scope(office):
    batch = office.load(weak_class(office)[1])
    other = make_office(name="Second School")

    with pytest.raises(OutOfScope):
        undo(batch_id=batch.public_id, by=other.by, on=ON)


def test_teacher_may_not_undo(office, scene):
    batch = office.load(weak_class(office)[1])

    with pytest.raises(OutOfScope):
        undo(batch_id=batch.public_id, by=scene.by, on=ON)


def test_rows_of_a_planned_check_are_due_again_as_they_were(office, scene):
    row = scene.row(scene.pupil(school_ref="A1"))
    other = make.make_sheet(office.school, code="K9")
    content = table("ref,skill,date,correct,wrong,seconds,sheet,where", ["A1", KEY, ON, 24, 3, 90, "K9", "home"])

    batch = office.load(content)
    row.refresh_from_db()
    assert (row.sheet, row.seconds, row.setting, row.version) == (other, 90, "home", 1)
    office.undo(batch)

    planned = (row.check_sat.attempts.get(), row.check_sat)
    row = planned[0]
    assert (row.status, row.correct, row.wrong, row.seconds, row.setting) == ("due", None, None, 180, "class")
    assert (row.sheet.code != "K9", row.import_batch, row.entered_by, row.entered_at) == (True, None, None, None)
    # The version runs on: a page that was open before can't write over it unseen.
    assert row.version == 2
    assert Standing.objects.count() == 0


def test_row_of_a_check_closed_since_was_not_given(office, scene):
    row = scene.row(scene.pupil(school_ref="A1"))
    batch = office.load(scores(["A1", KEY, ON, 24, 3, 120]))
    scene.close(row.check_sat)

    office.undo(batch)

    row.refresh_from_db()
    assert (row.status, row.correct, row.check_sat.state) == ("not-given", None, "closed")


def test_check_that_holds_other_scores_by_now_stays(office):
    one, two = make.make_pupils(office.group, 2)
    first = office.load(scores([one.school_ref, KEY, ON, 24, 3, 120]))
    office.load(scores([two.school_ref, KEY, ON, 24, 3, 120]))

    office.undo(first)

    assert [attempt.pupil for attempt in Check.objects.get().attempts.all()] == [two]


# What rests on a file of scores


def test_refused_after_a_correction(office, scene):
    batch = office.load(weak_class(office)[1])
    row = Attempt.objects.select_related("check_sat").filter(pupil__given_name="Ben").first()
    scene.correct(row, Typed(correct=58, wrong=0, seconds=120))

    assert refusal(office, batch) == (
        "Scores of this file were corrected since, so it can’t be undone. Correct single scores."
    )
    assert Attempt.objects.filter(import_batch=batch).count() == 24


def test_refused_after_somebody_saw_a_flag(office, scene):
    batch = office.load(weak_class(office)[1])
    see_flag(flag_id=Flag.objects.get().public_id, by=scene.by, on=ON)

    assert refusal(office, batch) == (
        "Somebody has acted on a flag that rests on these scores, so the file can’t be undone."
    )


def test_flag_of_before_or_on_another_skill_does_not_hold_a_file_back(office):
    pupils, content = weak_class(office)
    make.make_flag(pupils[0], "add-tens", "accuracy-low", state="acknowledged", seen_at=make.NOW)

    office.undo(office.load(content))

    assert Attempt.objects.count() == 0


def test_refused_after_a_note(office):
    pupils, content = weak_class(office)
    batch = office.load(content)
    Note.objects.create(school=office.school, pupil=pupils[0], facts={}, text={}, wording_version="1", on=ON)

    assert refusal(office, batch) == "A note to a family rests on these scores, so the file can’t be undone."


def give_extra_teaching(pupil, at):
    return Intervention.objects.create(
        school=pupil.school, pupil=pupil, skill=make.skill(KEY), approach="small group", minutes=20, sessions_a_week=3,
        starts=ON, review_on=ON + 6 * WEEK, created_at=at,
    )  # fmt: skip


DECISION = "A decision about extra teaching rests on these scores, so the file can’t be undone."


def test_refused_after_an_intervention(office):
    pupils, content = weak_class(office)
    batch = office.load(content)
    give_extra_teaching(pupils[0], batch.loaded_at + timedelta(minutes=1))

    assert refusal(office, batch) == DECISION


def test_refused_after_a_review(office):
    pupils, content = weak_class(office)
    intervention = give_extra_teaching(pupils[0], make.NOW - 30 * timedelta(days=30))
    batch = office.load(content)
    Review.objects.create(
        school=office.school, intervention=intervention, decision="continue", why="It helps", on=ON,
        recorded_at=batch.loaded_at + timedelta(minutes=1),
    )  # fmt: skip

    assert refusal(office, batch) == DECISION


# Files of pupils


def state(school):
    """All that a roster file can touch, by public id."""
    return (
        sorted(Pupil.objects.filter(school=school).values_list(
            "public_id", "school_ref", "given_name", "family_name", "sort_name", "joined_on", "left_on")),
        sorted(Enrolment.objects.filter(school=school).values_list(
            "public_id", "pupil", "class_group", "grade", "starts", "ends")),
        sorted(ClassGroup.objects.filter(school=school).values_list("public_id", "name")),
    )  # fmt: skip


@pytest.fixture
def anouk(office):
    pupil = office.pupil(school_ref="A1")
    pupil.sort_name = "verhaegen anouk"
    pupil.save()
    return pupil


@pytest.mark.parametrize(
    "rows",
    [
        [["A1", "Anouk", "Verhaegen-Smit", "Heron", 3]],
        [["A1", "Anouk", "Verhaegen", "Otter", 4], ["B2", "Ben", "Ode", "Otter", 4]],
        [["A1", "Annie", "Smit", "Heron", 4], ["B2", "=Ben", "@Ode", "Kite", 2], ["B3", "Cem", "", "Heron", 3]],
    ],
)
def test_roster_is_undone_exactly(office, anouk, rows):
    before = state(office.school)
    batch = office.load(table(ROSTER, *rows), "roster")
    assert state(office.school) != before

    office.undo(batch)

    assert state(office.school) == before


def test_place_that_began_today_is_mended_and_undone_exactly(office, anouk):
    anouk.enrolments.update(starts=ON)
    before = state(office.school)
    batch = office.load(table(ROSTER, ["A1", "Anouk", "Verhaegen", "Otter", 4]), "roster")
    place = anouk.enrolments.get()
    assert (place.class_group.name, place.grade, place.starts) == ("Otter", 4, ON)

    office.undo(batch)

    assert state(office.school) == before


def test_pupil_who_came_back_has_left_again(office, anouk):
    anouk.enrolments.update(ends=ON - WEEK)
    Pupil.objects.update(left_on=ON - WEEK)
    before = state(office.school)
    batch = office.load(table(ROSTER, ["A1", "Anouk", "Verhaegen", "Heron", 3]), "roster")
    assert Pupil.objects.get().left_on is None

    office.undo(batch)

    assert state(office.school) == before


def test_class_that_has_a_teacher_by_now_stays(office):
    batch = office.load(table(ROSTER, ["B2", "Ben", "Ode", "Kite", 2]), "roster")
    make.give_class(make.make_member(office.school, "teacher"), ClassGroup.objects.get(name="Kite"))

    office.undo(batch)

    assert set(ClassGroup.objects.values_list("name", flat=True)) == {"Heron", "Kite"}
    assert Pupil.objects.count() == 0


def test_roster_refused_after_a_check(office):
    batch = office.load(table(ROSTER, ["B2", "Ben", "Ode", "Heron", 3]), "roster")
    office.load(scores(["B2", KEY, ON, 24, 3, 120]))

    assert refusal(office, batch) == "Pupils of this file have checks by now, so it can’t be undone."


def test_roster_refused_after_a_check_in_the_new_class(office, scene, anouk):
    batch = office.load(table(ROSTER, ["A1", "Anouk", "Verhaegen", "Otter", 3]), "roster")
    otter = ClassGroup.objects.get(name="Otter")
    make.give_class(scene.by.user, otter)
    Scene(office.school, otter, make.viewer(scene.by.user, office.school)).plan(PlannedRow(anouk.public_id, KEY))

    assert refusal(office, batch) == "Pupils whom this file moved have checks in the new class, so it can’t be undone."


def test_roster_refused_after_a_pupil_was_changed(office, anouk):
    batch = office.load(table(ROSTER, ["A1", "Annie", "Verhaegen", "Heron", 3]), "roster")
    details = PupilDetails(school_ref="A1", given_name="Anna", family_name="Verhaegen")
    change_pupil(pupil_id=anouk.public_id, details=details, by=office.by, on=ON)

    assert refusal(office, batch) == "Pupils of this file were changed or moved since, so it can’t be undone."


def test_roster_refused_after_a_pupil_was_moved(office):
    batch = office.load(table(ROSTER, ["B2", "Ben", "Ode", "Heron", 3]), "roster")
    kite = make.make_class(office.school, "Kite")
    ben = Pupil.objects.get()
    move_pupil(pupil_id=ben.public_id, class_id=kite.public_id, grade=3, starts=ON, by=office.by, on=ON)

    assert refusal(office, batch) == "Pupils of this file were changed or moved since, so it can’t be undone."


def test_roster_refused_when_a_family_is_linked(office):
    batch = office.load(table(ROSTER, ["B2", "Ben", "Ode", "Heron", 3]), "roster")
    make.link_guardian(make.make_member(office.school, "parent"), Pupil.objects.get())

    assert refusal(office, batch) == "Something was recorded about pupils of this file since, so it can’t be undone."
    assert Guardian.objects.count() == 1


def test_pupils_who_came_another_way_stay(office):
    details = PupilDetails(school_ref="C3", given_name="Cem")
    batch = office.load(table(ROSTER, ["B2", "Ben", "Ode", "Heron", 3]), "roster")
    add_pupil(details=details, class_id=office.group.public_id, grade=3, starts=ON, by=office.by, on=ON)

    office.undo(batch)

    assert [pupil.school_ref for pupil in Pupil.objects.all()] == ["C3"]
