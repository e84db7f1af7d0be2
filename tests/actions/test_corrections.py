from datetime import timedelta

import pytest

from tests import builders as make
from tests.actions.scene import KEY, ON, colleague_of, cover_of, make_scene, stranger_at
from tracker.actions.corrections import correct_row
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.scores import Typed
from tracker.models import Answer, Attempt, ChangeRecord, Flag, Mark, MasteryEvent, Standing

PLAIN = "sub-2d-plain"


@pytest.fixture
def scene(db):
    return make_scene()


def closed_row(scene, pupil, correct=60, wrong=0, key=KEY):
    row = scene.row(pupil, key)
    scene.save(row, Typed(correct=correct, wrong=wrong, seconds=120))
    scene.close(row.check_sat)
    return row


def test_correction_keeps_the_old_value_who_and_why(scene):
    row = closed_row(scene, scene.pupil(), 30, 2)

    result = scene.correct(row, Typed(correct=20, wrong=2, seconds=120), why=" Two columns were counted twice ")

    assert (result.state, result.rate, result.version) == ("saved", 10.0, 2)
    line = ChangeRecord.objects.get(action="correct-score")
    assert (line.before["correct"], line.after["correct"], line.by_key, line.why) == (
        30, 20, scene.by.user.pk, "Two columns were counted twice"
    )  # fmt: skip
    assert Standing.objects.get(is_current=True).last_rate == 10.0


def test_coordinator_may_correct_and_others_reach_nothing(scene):
    row = closed_row(scene, scene.pupil(), 30, 2)
    coordinator = make.viewer(make.make_member(scene.school, "coordinator"), scene.school)

    assert scene.correct(row, Typed(correct=20, wrong=2), by=coordinator).state == "saved"
    for viewer in (cover_of(scene), stranger_at(scene)):
        with pytest.raises(OutOfScope):
            scene.correct(row, Typed(correct=10, wrong=2), by=viewer)


@pytest.mark.parametrize("why", ["", "   ", "x" * 301])
def test_correction_says_why(scene, why):
    row = closed_row(scene, scene.pupil())

    with pytest.raises(Refused) as refused:
        scene.correct(row, Typed(correct=20, wrong=2), why=why)

    assert refused.value.field == "why"
    assert Attempt.objects.get().correct == 60


def test_open_check_is_not_corrected(scene):
    row = scene.row(scene.pupil())

    with pytest.raises(Refused):
        scene.correct(row, Typed(correct=20, wrong=2))


def test_row_of_a_closed_check_cannot_be_due_again(scene):
    row = closed_row(scene, scene.pupil())

    with pytest.raises(Refused) as refused:
        scene.correct(row, Typed(status="due"))

    assert refused.value.field == "status"


def test_row_counted_from_answers_is_locked(scene):
    row = closed_row(scene, scene.pupil())
    Answer.objects.create(school=scene.school, attempt=row, item=row.sheet.items.first(), written="5")

    with pytest.raises(Refused):
        scene.correct(row, Typed(correct=20, wrong=2))


def test_correction_from_an_old_version_is_refused(scene):
    row = closed_row(scene, scene.pupil())
    seen = Attempt.objects.get().version
    scene.correct(row, Typed(correct=20, wrong=2), by=colleague_of(scene))

    with pytest.raises(Refused):
        scene.correct(row, Typed(correct=30, wrong=2), base_version=seen)

    assert Attempt.objects.get().correct == 20


def test_correction_that_changes_nothing_is_none(scene):
    row = closed_row(scene, scene.pupil(), 30, 2)

    assert scene.correct(row, Typed(correct=30, wrong=2, seconds=120)).state == "same"
    assert not ChangeRecord.objects.filter(action="correct-score").exists()


def test_day_of_becoming_secure_goes_when_its_ground_is_gone(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(60, 0)] * 2)
    row = closed_row(scene, pupil)
    assert MasteryEvent.objects.get().kind == "secure"

    result = scene.correct(row, Typed(correct=6, wrong=0, seconds=120))

    assert result.stage == "quicker"
    assert not MasteryEvent.objects.exists()
    line = ChangeRecord.objects.get(action="remove-reached")
    assert (line.after, line.why) == (
        {"skill": KEY, "kind": "secure", "on": "2026-11-20"},
        "A score that this rested on was corrected.",
    )


def test_day_of_becoming_secure_stays_when_the_right_score_reaches_the_mark_too(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(60, 0)] * 2)
    row = closed_row(scene, pupil)
    event = MasteryEvent.objects.get()

    scene.correct(row, Typed(correct=54, wrong=0, seconds=120))

    assert MasteryEvent.objects.get() == event


def test_day_on_record_rests_on_the_mark_of_its_time(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(60, 0)] * 2)
    row = closed_row(scene, pupil)
    Mark.objects.create(
        school=scene.school,
        skill=row.skill,
        accuracy=0.95,
        rate=60,
        source="school",
        version=1,
        valid_from=make.YEAR_STARTS,
        recorded_at=make.NOW,
    )

    result = scene.correct(row, Typed(correct=56, wrong=0, seconds=120))

    assert (result.stage, MasteryEvent.objects.count()) == ("secure", 1)


def test_being_kept_goes_with_becoming_secure(scene):
    pupil = scene.pupil()
    history = make.make_history(pupil, [(60, 0)] * 3 + [(6, 0)] * 5)
    row = closed_row(scene, pupil)
    assert sorted(MasteryEvent.objects.values_list("kind", flat=True)) == ["kept", "secure"]

    scene.correct(history[2], Typed(correct=6, wrong=0, seconds=120))

    assert not MasteryEvent.objects.exists()
    assert Standing.objects.get(is_current=True, skill=row.skill).stage == "quicker"


def test_correction_can_make_a_skill_secure(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [(60, 0)] * 2)
    row = closed_row(scene, pupil, 6, 0)
    assert not MasteryEvent.objects.exists()

    result = scene.correct(row, Typed(correct=60, wrong=0, seconds=120))

    assert (result.stage, MasteryEvent.objects.get().on) == ("secure", ON)


def gap(scene, pupil):
    make.make_history(pupil, [(24, 16)] * 2)
    make.make_history(pupil, [(60, 1)] * 3, PLAIN)
    row = closed_row(scene, pupil, 24, 16)
    assert Flag.objects.get().kind == "regrouping-gap"
    return row


def test_flag_is_withdrawn_with_a_reason_when_its_ground_is_gone(scene):
    row = gap(scene, scene.pupil())

    scene.correct(row, Typed(correct=60, wrong=0, seconds=120))

    flag = Flag.objects.get()
    assert (flag.state, flag.ended_by, flag.ended_why) == (
        "withdrawn", scene.by.user, "A score that this rested on was corrected."
    )  # fmt: skip
    assert ChangeRecord.objects.get(action="withdraw-flag").subject_key == flag.public_id


def test_flag_stays_when_it_would_have_been_raised_all_the_same(scene):
    row = gap(scene, scene.pupil())

    scene.correct(row, Typed(correct=26, wrong=14, seconds=120))

    assert [(flag.kind, flag.state) for flag in Flag.objects.all()] == [("regrouping-gap", "open")]


def test_flag_that_was_seen_is_withdrawn_too_and_a_closed_one_is_left(scene):
    row = gap(scene, scene.pupil())
    Flag.objects.update(state="acknowledged", seen_at=make.NOW)

    scene.correct(row, Typed(correct=60, wrong=0, seconds=120))

    assert Flag.objects.get().state == "withdrawn"


def test_correcting_the_twin_withdraws_the_gap_that_rested_on_it(scene):
    pupil = scene.pupil()
    gap(scene, pupil)
    for row in Attempt.objects.filter(skill__key=PLAIN).select_related("check_sat"):
        scene.correct(row, Typed(correct=24, wrong=16, seconds=120))

    assert Flag.objects.get(kind="regrouping-gap").state == "withdrawn"


def test_withdrawn_flag_may_rise_again_at_once(scene):
    pupil = scene.pupil()
    row = gap(scene, pupil)
    scene.correct(row, Typed(correct=60, wrong=0, seconds=120))

    scene.correct(row, Typed(correct=24, wrong=16, seconds=120), why="It was right before")

    assert sorted(Flag.objects.values_list("kind", "state")) == [
        ("regrouping-gap", "open"),
        ("regrouping-gap", "withdrawn"),
    ]


def test_other_pupils_answers_are_unchanged(scene):
    other = scene.pupil("Ilse")
    make.make_history(other, [(60, 0)] * 3)
    row = closed_row(scene, scene.pupil(), 30, 2)
    fresh = make.make_check(scene.group, on=ON + timedelta(days=1))
    make.make_attempt(fresh, other, correct=60)
    scene.close(fresh, on=ON + timedelta(days=1))
    rows = Standing.objects.filter(pupil=other).values()
    was = list(rows)

    scene.correct(row, Typed(correct=10, wrong=20, seconds=120), on=ON + timedelta(days=1))

    assert list(rows.all()) == was


def test_row_of_another_check_is_out_of_reach(scene):
    row = closed_row(scene, scene.pupil())
    other = make.make_check(scene.group, state="closed", closed_at=make.NOW)

    with pytest.raises(OutOfScope):
        correct_row(
            check_id=other.public_id,
            attempt_id=row.public_id,
            typed=Typed(correct=1, wrong=0),
            why="why",
            base_version=1,
            by=scene.by,
            on=ON,
        )
