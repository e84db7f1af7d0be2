from datetime import date, timedelta

import pytest

from tests import builders as make
from tests.actions.scene import KEY, ON, cover_of, make_scene, stranger_at
from tracker.actions.checks import PlannedRow, add_row, change_plan, day_warning, drop_row, plan_check
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.scores import Typed
from tracker.models import Attempt, Break, ChangeRecord, Check, Enrolment, Phase


@pytest.fixture
def scene(db):
    return make_scene()


def planned(pupil, key=KEY, **fields):
    return PlannedRow(pupil.public_id, key, **fields)


def test_check_gets_a_row_still_due_for_every_pupil_and_skill(scene):
    anouk, ilse = scene.pupil("Anouk"), scene.pupil("Ilse")

    check = scene.plan(planned(anouk), planned(anouk, "sub-2d-plain"), planned(ilse))

    assert (check.year, check.class_group, check.on, check.state) == (scene.group.year, scene.group, ON, "open")
    rows = check.attempts.order_by("pk").values_list(
        "pupil", "skill__key", "status", "taken_on", "sheet__form", "grade"
    )
    assert list(rows) == [
        (anouk.pk, KEY, "due", ON, 1, 3),
        (anouk.pk, "sub-2d-plain", "due", ON, 1, 3),
        (ilse.pk, KEY, "due", ON, 1, 3),
    ]
    line = ChangeRecord.objects.get(action="plan-check")
    assert (line.subject_key, line.after["rows"]) == (check.public_id, 3)


def test_row_carries_what_holds_for_the_pupil_that_day(scene):
    pupil = scene.pupil(mode="oral", adjustments="reader")
    phase = Phase.objects.create(
        school=scene.school,
        pupil=pupil,
        skill=make.skill(KEY),
        began_on=date(2026, 10, 5),
        reason="teaching",
        recorded_at=make.NOW,
    )
    Phase.objects.create(
        school=scene.school,
        pupil=pupil,
        skill=make.skill(KEY),
        began_on=ON + timedelta(days=1),
        reason="teaching",
        recorded_at=make.NOW,
    )

    row = scene.row(pupil)

    assert (row.mode, row.adjustments, row.phase, row.class_group) == ("oral", "reader", phase, scene.group)


def test_grade_is_that_of_the_day_in_a_class_of_several(scene):
    older = scene.pupil("Ilse", grade=4)

    row = scene.row(older)

    assert row.grade == 4


def test_pupil_without_timed_checks_gets_an_untimed_row(scene):
    timed, untimed = scene.pupil(), scene.pupil("Ilse", no_timed_checks=True)

    check = scene.plan(planned(timed), planned(untimed))

    assert dict(check.attempts.values_list("pupil", "seconds")) == {timed.pk: 180, untimed.pk: None}


def test_form_can_be_chosen_for_one_pupil(scene):
    anouk, ilse = scene.pupil(), scene.pupil("Ilse")

    check = scene.plan(planned(anouk), planned(ilse, form=7))

    assert dict(check.attempts.values_list("pupil", "sheet__form")) == {anouk.pk: 1, ilse.pk: 7}


def test_same_skill_twice_for_a_pupil_is_refused_and_nothing_is_made(scene):
    pupil = scene.pupil()

    with pytest.raises(Refused) as refused:
        scene.plan(planned(pupil), planned(pupil))

    assert refused.value.sentence == "A pupil can have one row a skill in a check; this one is named twice."
    assert not Check.objects.exists()


def test_second_click_on_the_plan_is_refused(scene):
    pupil = scene.pupil()
    scene.plan(planned(pupil))

    with pytest.raises(Refused) as refused:
        scene.plan(planned(pupil))

    assert refused.value.sentence == "Anouk Verhaegen already has a check of this skill on 20 November 2026."
    assert Check.objects.count() == 1


@pytest.mark.parametrize("key", ["long-division", "times-all"])
def test_skill_that_the_school_lacks_is_refused(db, key):
    scene = make_scene(skills_off=["times-all"])

    with pytest.raises(Refused) as refused:
        scene.plan(planned(scene.pupil(), key))

    assert refused.value.field == "skill_key"
    assert refused.value.sentence == f"This school has no skill “{key}”; choose one from the list."


def test_form_beyond_the_list_is_refused(scene):
    with pytest.raises(Refused) as refused:
        scene.plan(planned(scene.pupil(), form=100))

    assert (refused.value.field, refused.value.sentence) == ("form", "A form is a number from 1 to 99.")


def test_day_outside_the_school_year_is_refused(scene):
    with pytest.raises(Refused) as refused:
        scene.plan(planned(scene.pupil()), on=date(2026, 8, 31))

    assert refused.value.sentence == (
        "The day must lie in the school year of the class, from 7 September 2026 to 2 July 2027."
    )


def test_check_without_pupils_is_refused(scene):
    with pytest.raises(Refused):
        scene.plan()


def test_day_in_a_break_is_only_pointed_out(scene):
    Break.objects.create(
        school=scene.school, year=scene.group.year, name="Autumn", starts=date(2026, 10, 19), ends=date(2026, 10, 23)
    )

    def warning(day):
        return day_warning(class_id=scene.group.public_id, sat_on=day, by=scene.by)

    assert warning(date(2026, 10, 21)) == "21 October 2026 lies in a break (Autumn)."
    assert warning(date(2026, 10, 26)) == ""
    assert scene.plan(planned(scene.pupil()), on=date(2026, 10, 21)).on == date(2026, 10, 21)
    with pytest.raises(OutOfScope):
        day_warning(class_id=scene.group.public_id, sat_on=ON, by=stranger_at(scene))


def test_pupil_of_another_class_or_no_longer_there_is_out_of_reach(scene):
    elsewhere = make.make_pupil(make.make_class(scene.school, "Otter"))
    moved = scene.pupil("Ilse")
    Enrolment.objects.filter(pupil=moved).update(ends=ON - timedelta(days=1))

    for pupil in (elsewhere, moved):
        with pytest.raises(OutOfScope):
            scene.plan(planned(pupil))


def test_only_the_classs_own_teacher_plans(scene):
    pupil = scene.pupil()
    check = scene.plan(planned(pupil))

    for viewer in (stranger_at(scene), cover_of(scene)):
        with pytest.raises(OutOfScope):
            plan_check(class_id=scene.group.public_id, sat_on=ON, rows=[planned(pupil)], by=viewer, on=ON)
        with pytest.raises(OutOfScope):
            add_row(check_id=check.public_id, row=planned(pupil, "sub-2d-plain"), by=viewer, on=ON)


def test_row_can_be_added_and_taken_out_while_it_is_due(scene):
    anouk, ilse = scene.pupil(), scene.pupil("Ilse")
    check = scene.plan(planned(anouk))

    added = add_row(check_id=check.public_id, row=planned(ilse), by=scene.by, on=ON)
    drop_row(check_id=check.public_id, attempt_id=check.attempts.get(pupil=anouk).public_id, by=scene.by, on=ON)

    assert list(check.attempts.all()) == [added]
    with pytest.raises(OutOfScope):
        drop_row(check_id=check.public_id, attempt_id="nothing", by=scene.by, on=ON)


def test_row_with_an_entry_stays(scene):
    row = scene.row(scene.pupil())
    scene.save(row, Typed(status="absent"))

    with pytest.raises(Refused):
        drop_row(check_id=row.check_sat.public_id, attempt_id=row.public_id, by=scene.by, on=ON)

    assert Attempt.objects.filter(pk=row.pk).exists()


def test_changed_plan_touches_only_rows_still_due(scene):
    anouk, ilse, oskar = scene.pupil(), scene.pupil("Ilse"), scene.pupil("Oskar")
    check = scene.plan(planned(anouk), planned(ilse), planned(oskar))
    done, kept, _ = check.attempts.select_related("check_sat").order_by("pk")
    scene.save(done, Typed(correct=20, wrong=0))

    change_plan(check_id=check.public_id, rows=[planned(ilse), planned(oskar, "sub-2d-plain")], by=scene.by, on=ON)

    rows = check.attempts.order_by("pk").values_list("pk", "pupil", "skill__key", "status")
    assert list(rows)[:2] == [(done.pk, anouk.pk, KEY, "done"), (kept.pk, ilse.pk, KEY, "due")]
    assert [row[1:] for row in list(rows)[2:]] == [(oskar.pk, "sub-2d-plain", "due")]


def test_changed_plan_can_take_another_form_or_the_clock_away(scene):
    anouk, ilse = scene.pupil(), scene.pupil("Ilse")
    check = scene.plan(planned(anouk), planned(ilse))

    change_plan(check_id=check.public_id, rows=[planned(anouk, form=4), planned(ilse, timed=False)], by=scene.by, on=ON)

    found = check.attempts.values_list("pupil", "sheet__form", "seconds")
    assert sorted(found) == sorted([(anouk.pk, 4, 180), (ilse.pk, 1, None)])


def test_closed_check_takes_no_more_rows(scene):
    row = scene.row(scene.pupil())
    scene.close(row.check_sat)

    with pytest.raises(Refused):
        add_row(check_id=row.check_sat.public_id, row=planned(scene.pupil("Ilse")), by=scene.by, on=ON)


def test_check_of_one_pupil_takes_no_further_rows(scene):
    pupil = scene.pupil()
    own = Check.objects.create(school=scene.school, year=scene.group.year, pupil=pupil, on=ON, created_at=make.NOW)

    with pytest.raises(OutOfScope):
        add_row(check_id=own.public_id, row=planned(pupil), by=scene.by, on=ON)


@pytest.mark.parametrize("number", [3, 30])
def test_planning_takes_the_same_statements_whatever_the_class_size(scene, number, django_assert_num_queries):
    rows = [planned(pupil) for pupil in make.make_pupils(scene.group, number)]
    scene.plan(planned(scene.pupil()), on=ON - timedelta(weeks=1))
    scene.plan(planned(scene.pupil(), form=2), on=ON - timedelta(weeks=2))

    with django_assert_num_queries(15):
        scene.plan(*rows)
