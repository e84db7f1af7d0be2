from datetime import date, timedelta

import pytest
from django.db import connection

from tests import builders as make
from tests.actions.scene import KEY, ON, cover_of, make_scene, stranger_at, visitor_to
from tracker.actions.checks import PlannedRow, close_check, close_overdue
from tracker.actions.closing import Reached
from tracker.actions.errors import OutOfScope
from tracker.actions.scores import Typed
from tracker.models import ChangeRecord, Check, Flag, MasteryEvent, Standing

GOOD, WEAK = (60, 0), (24, 16)  # in two minutes: 30 a minute and all right; 12 a minute and 60 %
PLAIN = "sub-2d-plain"


@pytest.fixture
def scene(db):
    return make_scene()


def full_class(scene, size):
    """Everything at once: pupils who become secure, one with two flags, one still due."""
    check = make.make_check(scene.group)
    for number, pupil in enumerate(make.make_pupils(scene.group, size)):
        scores = WEAK if number == 2 else GOOD
        make.make_history(pupil, [scores] * 8)
        make.make_history(pupil, [(60, 1)] * 3, PLAIN)
        counts = {} if number == 1 else {"correct": scores[0], "wrong": scores[1]}
        make.make_attempt(check, pupil, **counts)
    return check


# SQLite takes at most 999 values in a statement, so thirty pupils' sixty standings need a second one there.
@pytest.mark.parametrize(("size", "queries"), [(3, 11), (30, 12 if connection.vendor == "sqlite" else 11)])
def test_closing_takes_the_same_few_statements_whatever_the_class_size(scene, size, queries, django_assert_num_queries):
    check = full_class(scene, size)

    # The savepoint of the test's own transaction adds two.
    with django_assert_num_queries(queries + 2):
        scene.close(check)

    assert MasteryEvent.objects.filter(kind="secure").count() == size - 1
    assert MasteryEvent.objects.filter(kind="kept").count() == size - 1
    assert Flag.objects.filter(state="open").count() == 2


def test_closing_tells_who_became_secure_and_who_to_look_at(scene):
    check = full_class(scene, 3)
    first, due, weak = scene.group.enrolments.order_by("pk").values_list("pupil__public_id", flat=True)

    closed = scene.close(check)

    assert closed.secure == closed.kept == (Reached(first, KEY), Reached(due, KEY))
    assert [(flag.pupil_id, flag.skill_key, flag.kind) for flag in closed.flags] == [
        (weak, KEY, "regrouping-gap"),
        (weak, KEY, "accuracy-low"),
    ]
    assert (closed.rows, closed.done, closed.not_given, closed.absent, closed.stopped) == (3, 2, 1, 0, 0)
    check.refresh_from_db()
    assert (check.state, check.closed_by) == ("closed", scene.by.user)


def test_rows_still_due_become_not_given(scene):
    row = scene.row(scene.pupil())

    scene.close(row.check_sat)

    row.refresh_from_db()
    assert (row.status, row.version) == ("not-given", 1)


def test_closing_twice_changes_nothing_and_tells_the_same(scene):
    check = full_class(scene, 3)
    first = scene.close(check)
    lines, standings = ChangeRecord.objects.count(), list(Standing.objects.values())

    again = scene.close(check, on=ON + timedelta(days=3))

    assert sorted(again.secure) == sorted(first.secure)
    assert {**vars(again), "secure": 0, "kept": 0} == {**vars(first), "secure": 0, "kept": 0}
    assert (ChangeRecord.objects.count(), list(Standing.objects.values())) == (lines, standings)


def test_event_keeps_the_mark_the_deciding_check_and_the_chance(scene):
    pupil = scene.pupil()
    history = make.make_history(pupil, [GOOD] * 2)
    row = scene.row(pupil)
    scene.save(row, Typed(correct=60, wrong=0, seconds=120))

    scene.close(row.check_sat)

    event = MasteryEvent.objects.get()
    assert (event.kind, event.on, event.attempt_id) == ("secure", ON, row.pk)
    assert (float(event.mark_accuracy), float(event.mark_rate), event.mark_source, event.mark_version) == (
        0.95, 20.0, "common-practice", 0
    )  # fmt: skip
    assert event.chance == pytest.approx(Standing.objects.get(is_current=True).chance_at_mark)
    assert event.chance > 0.9
    assert len(history) == 2


def test_event_is_recorded_once_and_never_redated(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [GOOD] * 3)
    first = make.make_check(scene.group)
    make.make_attempt(first, pupil, correct=60)
    scene.close(first)
    was = list(MasteryEvent.objects.values())

    later = make.make_check(scene.group, on=ON + timedelta(weeks=1))
    make.make_attempt(later, pupil, correct=8, wrong=30)
    scene.close(later, on=ON + timedelta(weeks=1))

    assert list(MasteryEvent.objects.values()) == was
    assert Standing.objects.get(is_current=True).stage == "secure"


def test_pupil_without_timed_checks_becomes_secure_by_accuracy_and_written_work(scene):
    pupil = scene.pupil(no_timed_checks=True)
    make.make_history(pupil, [(40, 1)] * 3)
    row = scene.row(pupil)
    scene.save(row, Typed(correct=40, wrong=0))
    assert not scene.close(row.check_sat).secure
    pupil.material_records.create(school=scene.school, skill=row.skill, level="written", on=ON, recorded_at=make.NOW)

    following = scene.plan(PlannedRow(pupil.public_id, KEY), on=ON - timedelta(days=1))
    closed = scene.close(following)

    event = MasteryEvent.objects.get()
    assert closed.secure == (Reached(pupil.public_id, KEY),)
    assert (event.on, event.mark_rate) == (ON, None)


def test_flag_holds_its_evidence_in_numbers_and_dates(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [WEAK] * 2)
    make.make_history(pupil, [(60, 1)] * 3, PLAIN)
    row = scene.row(pupil)
    scene.save(row, Typed(correct=24, wrong=16, seconds=120))

    scene.close(row.check_sat)

    flag = Flag.objects.get()
    assert (flag.kind, flag.raised_on, flag.check_sat, flag.holder, flag.attempts_then) == (
        "regrouping-gap", ON, row.check_sat, scene.by.user, 3
    )  # fmt: skip
    # 72 of 120 digits against 180 of 183
    assert (flag.evidence["skill_right"], flag.evidence["skill_total"]) == (72, 120)
    assert (flag.evidence["twin_right"], flag.evidence["twin_total"]) == (180, 183)
    assert flag.evidence["gap"] == pytest.approx(180 / 183 - 0.6)
    assert flag.evidence["skill_dates"] == ["2026-11-06", "2026-11-13", "2026-11-20"]


def test_twin_that_is_no_better_raises_no_gap(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [WEAK] * 3)
    make.make_history(pupil, [(40, 20)] * 3, PLAIN)
    row = scene.row(pupil)

    assert scene.close(row.check_sat).flags == ()


def weekly(scene, pupil, weeks, score=WEAK):
    """Closes one weekly check after the other and gives the flags each raised."""
    raised = []
    for week in range(1, weeks + 1):
        on = ON + timedelta(weeks=week)
        check = make.make_check(scene.group, on=on)
        make.make_attempt(check, pupil, correct=score[0], wrong=score[1])
        raised.append([flag.kind for flag in scene.close(check, on=on).flags])
    return raised


def test_flag_that_stands_is_not_raised_again(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [WEAK] * 8)

    assert weekly(scene, pupil, 10) == [["accuracy-low"], *[[]] * 9]


def test_flag_that_was_closed_rises_again_only_after_eight_new_checks(scene):
    pupil = scene.pupil()
    make.make_history(pupil, [WEAK] * 8)
    assert weekly(scene, pupil, 1) == [["accuracy-low"]]
    Flag.objects.update(state="closed", ended_at=make.NOW, ended_why="Seen with the family")

    raised = []
    for week in range(2, 12):
        on = ON + timedelta(weeks=week)
        check = make.make_check(scene.group, on=on)
        make.make_attempt(check, pupil, correct=24, wrong=16)
        raised.append(len(scene.close(check, on=on).flags))

    assert raised == [0, 0, 0, 0, 0, 0, 0, 1, 0, 0]


@pytest.mark.parametrize(("weak", "flags"), [(3, 3), (4, 0)], ids=["half", "more than half"])
def test_skill_that_most_of_the_class_needs_is_not_flagged_pupil_by_pupil(scene, weak, flags):
    check = make.make_check(scene.group)
    for number, pupil in enumerate(make.make_pupils(scene.group, 6)):
        score = WEAK if number < weak else GOOD
        make.make_history(pupil, [score] * 8)
        make.make_attempt(check, pupil, correct=score[0], wrong=score[1])

    closed = scene.close(check)

    assert [flag.kind for flag in closed.flags] == ["accuracy-low"] * flags


def test_check_for_a_part_of_the_class_does_not_pass_for_the_whole_of_it(scene):
    check = make.make_check(scene.group)
    for number, pupil in enumerate(make.make_pupils(scene.group, 12)):
        if number < 6:
            make.make_history(pupil, [WEAK] * 8)
            make.make_attempt(check, pupil, correct=WEAK[0], wrong=WEAK[1])

    closed = scene.close(check)

    assert [flag.kind for flag in closed.flags] == ["accuracy-low"] * 6


def test_standings_are_the_same_as_a_rebuild_gives(scene):
    from tracker.actions.standings import rebuild

    scene.close(full_class(scene, 3))

    found = rebuild(school=scene.school, on=ON, at=make.NOW, look_only=True)

    assert (found.written, found.changed) == (12, 6)  # six of the twin, which no closing has worked out


@pytest.mark.parametrize(
    ("who", "roles"),
    [(cover_of, []), (stranger_at, []), (visitor_to, []), (visitor_to, ["coordinator"])],
    ids=["cover", "stranger", "visiting teacher", "visiting coordinator"],
)
def test_closing_belongs_to_those_who_keep_the_class(scene, who, roles):
    row, viewer = scene.row(scene.pupil()), who(scene, *roles)

    with pytest.raises(OutOfScope):
        close_check(check_id=row.check_sat.public_id, by=viewer, on=ON)
    with pytest.raises(OutOfScope):
        close_check(check_id="nothing", by=scene.by, on=ON)

    assert Check.objects.get().state == "open"


def test_empty_check_can_be_closed(scene):
    check = make.make_check(scene.group)

    assert scene.close(check).rows == 0


@pytest.mark.parametrize(
    ("sat_on", "due", "closed"),
    [
        (ON, False, 0),
        (ON - timedelta(days=1), False, 1),
        (ON - timedelta(days=6), True, 0),
        (ON - timedelta(days=7), True, 1),
    ],
    ids=["today", "complete since yesterday", "somebody may catch up", "a week old"],
)
def test_day_closes_checks_that_are_over(scene, sat_on, due, closed):
    check = make.make_check(scene.group, on=sat_on)
    make.make_attempt(check, scene.pupil(), **({} if due else {"correct": 20}))

    assert close_overdue(school=scene.school, on=ON) == closed
    assert close_overdue(school=scene.school, on=ON) == 0

    check.refresh_from_db()
    assert (check.state == "closed", check.closed_by) == (closed == 1, None)


def test_day_leaves_other_schools_alone(scene):
    other = make_scene(name="Mill Road School")
    make.make_check(other.group, on=date(2026, 10, 1))

    assert close_overdue(school=scene.school, on=ON) == 0
