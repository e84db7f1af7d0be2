"""Classes and pupils: references, moves, leaving and coming back."""

from datetime import date, timedelta

import pytest

from tests import builders
from tests.actions.roster_scene import DAY, details, office_of, recorded, refused
from tests.builders import TODAY, YEAR_STARTS
from tracker.actions.errors import OutOfScope
from tracker.actions.rosters import (
    add_class,
    add_pupil,
    change_pupil,
    correct_enrolment,
    move_pupil,
    pupil_left,
    remove_class,
    rename_class,
)
from tracker.models import ChangeRecord, ClassGroup, Enrolment, Pupil, Standing

pytestmark = pytest.mark.django_db


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def who(school):
    return {"by": office_of(school), "on": TODAY}


@pytest.fixture
def otter(school):
    return builders.make_class(school, "Otter")


@pytest.fixture
def plover(school):
    return builders.make_class(school, "Plover")


@pytest.fixture
def pupil(otter, who):
    return add_pupil(details=details(), class_id=otter.public_id, grade=3, starts=DAY, **who)


def places(pupil):
    rows = pupil.enrolments.order_by("starts")
    return [(row.class_group.name, row.grade, row.starts, row.ends) for row in rows]


def test_add_class_once_a_year_in_any_case(school, who):
    year = builders.year_of(school).public_id
    add_class(year_id=year, name="Otter", **who)

    assert refused(add_class, year_id=year, name="otter", **who) == (
        "name",
        "This year already has a class called “otter”.",
    )
    assert [group.name for group in ClassGroup.objects.all()] == ["Otter"]


def test_add_class_may_be_loaded_by_a_coordinator_but_not_by_a_teacher(school):
    year = builders.year_of(school).public_id
    for role, made in (("coordinator", True), ("teacher", False)):
        viewer = builders.viewer(builders.make_member(school, role), school)
        if made:
            add_class(year_id=year, name=role, by=viewer, on=TODAY)
        else:
            with pytest.raises(OutOfScope):
                add_class(year_id=year, name=role, by=viewer, on=TODAY)

    assert [group.name for group in ClassGroup.objects.all()] == ["coordinator"]


def test_rename_class(otter, plover, who):
    rename_class(class_id=otter.public_id, name="Beaver", **who)

    assert refused(rename_class, class_id=plover.public_id, name="BEAVER", **who)[0] == "name"
    assert sorted(group.name for group in ClassGroup.objects.all()) == ["Beaver", "Plover"]


def test_remove_class_only_when_empty(otter, plover, pupil, who):
    sentence = refused(remove_class, class_id=otter.public_id, **who)[1]
    remove_class(class_id=plover.public_id, **who)

    assert sentence == "This class has pupils or checks, so it stays."
    assert [group.name for group in ClassGroup.objects.all()] == ["Otter"]


def test_add_pupil_is_enrolled_and_sorted(pupil):
    assert places(pupil) == [("Otter", 3, DAY, None)]
    assert (pupil.sort_name, pupil.joined_on, pupil.left_on) == ("verhaegen anouk", DAY, None)
    assert recorded() == ["add-pupil", "enrol-pupil"]


def test_add_pupil_leaves_no_name_in_the_record(otter, who):
    kept = details("L-7", "Żaneta", "Øystersen", adjustments="large print", home_languages="Polish")
    pupil = add_pupil(details=kept, class_id=otter.public_id, grade=3, starts=DAY, **who)
    change_pupil(pupil_id=pupil.public_id, details=details("L-7", "Zofia", "Øystersen"), **who)
    written = str(list(ChangeRecord.objects.values()))

    assert [word for word in ("aneta", "Zofia", "stersen", "large print", "Polish") if word in written] == []
    assert "given_name" in written


def test_add_pupil_namesakes_are_told_apart_by_reference(otter, pupil, who):
    twin = add_pupil(details=details("L-2"), class_id=otter.public_id, grade=3, starts=DAY, **who)

    assert (str(twin), twin.school_ref) == (str(pupil), "L-2")


@pytest.mark.parametrize("reference", ["L-1", "l-1"])
def test_add_pupil_same_reference_is_refused(otter, pupil, who, reference):
    values = {"class_id": otter.public_id, "grade": 3, "starts": DAY, **who}

    assert refused(add_pupil, details=details(reference, "Other"), **values) == (
        "school_ref",
        f"Another pupil already has the reference {reference}; each reference belongs to one pupil.",
    )
    assert Pupil.objects.count() == 1


def test_add_pupil_same_reference_in_another_school_is_no_matter(pupil):
    other = builders.make_school("Mill School")
    group = builders.make_class(other)
    made = add_pupil(details=details(), class_id=group.public_id, grade=3, starts=DAY, by=office_of(other), on=TODAY)

    assert (made.school, made.school_ref) == (other, pupil.school_ref)


def test_add_pupil_to_a_class_of_another_school_is_out_of_scope(who):
    group = builders.make_class(builders.make_school("Mill School"))
    with pytest.raises(OutOfScope):
        add_pupil(details=details(), class_id=group.public_id, grade=3, starts=DAY, **who)


@pytest.mark.parametrize("starts", [date(2026, 9, 6), date(2027, 7, 3)])
def test_add_pupil_outside_the_year_is_refused(otter, who, starts):
    place, sentence = refused(add_pupil, details=details(), class_id=otter.public_id, grade=3, starts=starts, **who)

    assert place == "starts"
    assert sentence.endswith("which runs from 7 September 2026 to 2 July 2027.")
    assert Pupil.objects.count() == 0


def test_change_pupil_folds_the_new_name(pupil, who):
    change_pupil(pupil_id=pupil.public_id, details=details("L-1", "Żaneta", "Øystersen"), **who)
    pupil.refresh_from_db()

    assert (str(pupil), pupil.sort_name) == ("Żaneta Øystersen", "oystersen zaneta")


def test_change_pupil_to_a_taken_reference_is_refused(otter, pupil, who):
    add_pupil(details=details("L-2"), class_id=otter.public_id, grade=3, starts=DAY, **who)

    assert refused(change_pupil, pupil_id=pupil.public_id, details=details("L-2"), **who)[0] == "school_ref"


def test_change_pupil_without_a_change_writes_nothing(pupil, who):
    before = recorded()
    change_pupil(pupil_id=pupil.public_id, details=details(), **who)

    assert recorded() == before


def test_move_pupil_ends_the_old_class_the_day_before(pupil, plover, who):
    day = date(2026, 11, 16)
    move_pupil(pupil_id=pupil.public_id, class_id=plover.public_id, grade=4, starts=day, **who)

    assert places(pupil) == [("Otter", 3, DAY, day - timedelta(days=1)), ("Plover", 4, day, None)]


def test_move_pupil_never_stands_in_two_classes(pupil, plover, otter, who):
    values = {"pupil_id": pupil.public_id, "grade": 3, **who}
    same = refused(move_pupil, class_id=otter.public_id, starts=TODAY, **values)
    first_day = refused(move_pupil, class_id=plover.public_id, starts=DAY, **values)
    before = refused(move_pupil, class_id=plover.public_id, starts=DAY - timedelta(days=3), **values)

    assert same == ("class_id", "The pupil is already in this class and grade.")
    assert first_day == before
    assert first_day == ("starts", "The pupil is in Otter from 14 September 2026; a move must come after that day.")
    assert places(pupil) == [("Otter", 3, DAY, None)]


def test_move_pupil_to_the_same_class_in_another_grade(pupil, otter, who):
    move_pupil(pupil_id=pupil.public_id, class_id=otter.public_id, grade=4, starts=TODAY, **who)

    assert places(pupil) == [("Otter", 3, DAY, TODAY - timedelta(days=1)), ("Otter", 4, TODAY, None)]


def test_pupil_left_ends_class_and_keeps_records(pupil, who):
    pupil_left(pupil_id=pupil.public_id, left_on=TODAY, **who)
    pupil.refresh_from_db()

    assert places(pupil) == [("Otter", 3, DAY, TODAY)]
    assert pupil.left_on == TODAY


def test_pupil_left_on_a_later_day_than_first_said(pupil, who):
    pupil_left(pupil_id=pupil.public_id, left_on=TODAY, **who)
    later = TODAY + timedelta(days=5)
    pupil_left(pupil_id=pupil.public_id, left_on=later, **who)

    assert places(pupil) == [("Otter", 3, DAY, later)]


def test_pupil_left_before_the_class_began_is_refused(pupil, who):
    day = DAY - timedelta(days=1)

    assert refused(pupil_left, pupil_id=pupil.public_id, left_on=day, **who) == (
        "left_on",
        "The pupil's last class begins after that day.",
    )


def test_move_pupil_back_after_leaving(pupil, plover, who):
    pupil_left(pupil_id=pupil.public_id, left_on=TODAY, **who)
    values = {"pupil_id": pupil.public_id, "class_id": plover.public_id, "grade": 3, **who}
    place, _sentence = refused(move_pupil, starts=TODAY, **values)
    move_pupil(starts=TODAY + timedelta(days=10), **values)
    pupil.refresh_from_db()

    assert place == "starts"
    assert pupil.left_on is None
    assert places(pupil)[1:] == [("Plover", 3, TODAY + timedelta(days=10), None)]


def test_correct_enrolment_mends_grade_and_first_day(pupil, who):
    row = pupil.enrolments.get()
    correct_enrolment(enrolment_id=row.public_id, grade=2, starts=YEAR_STARTS, **who)
    pupil.refresh_from_db()

    assert places(pupil) == [("Otter", 2, YEAR_STARTS, None)]
    assert pupil.joined_on == YEAR_STARTS


def test_correct_enrolment_reads_the_attempts_in_the_new_grade(pupil, otter, who):
    check = builders.make_check(otter, on=date(2026, 10, 9), state="closed", closed_at=builders.NOW)
    attempt = builders.make_attempt(check, pupil, correct=40)
    builders.make_standing(pupil, measures_version="old")
    correct_enrolment(enrolment_id=pupil.enrolments.get().public_id, grade=2, starts=DAY, **who)
    attempt.refresh_from_db()

    assert attempt.grade == 2
    assert "old" not in set(Standing.objects.values_list("measures_version", flat=True))


def test_correct_enrolment_refuses_days_that_do_not_fit(pupil, otter, plover, who):
    builders.make_attempt(builders.make_check(otter, on=date(2026, 10, 9)), pupil)
    move_pupil(pupil_id=pupil.public_id, class_id=plover.public_id, grade=3, starts=TODAY, **who)
    first, second = pupil.enrolments.order_by("starts")
    late = refused(correct_enrolment, enrolment_id=first.public_id, grade=3, starts=date(2026, 10, 10), **who)
    after_end = refused(correct_enrolment, enrolment_id=first.public_id, grade=3, starts=TODAY, **who)
    inside = refused(correct_enrolment, enrolment_id=second.public_id, grade=3, starts=date(2026, 11, 2), **who)

    assert [place for place, _ in (late, after_end, inside)] == ["starts", "starts", "starts"]
    assert "has a check in this class on 9 October 2026" in late[1]
    assert "ends on 19 November 2026" in after_end[1]
    assert inside[1] == "On that day the pupil was still in the class before."
    assert Enrolment.objects.count() == 2
