"""A small build of the demo: what stands in the database is what the model wrote, by the way that pages use."""

from collections import Counter
from datetime import date

import pytest
from django.db import transaction

from tracker.access import scopes
from tracker.actions.imports import loading
from tracker.management.demo import fixtures, told
from tracker.management.demo.builder import build
from tracker.management.demo.model import school_scores
from tracker.management.demo.score_files import file_to_try
from tracker.management.demo.set_up import SIGN_IN_WITH
from tracker.management.demo.site import whole_school_viewer
from tracker.models import Attempt, ChangeRecord, Check, Enrolment, Flag, Pupil, SaveKey, Standing, User

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 20)
WEEKS = 18
# Stuck twice, steady in every class, untimed, moved, new, away.
FEW = ("PC-178", "PB-108", "PA-101", "PB-101", "PB-143", "PB-157", "PC-101", "PD-108", "PA-227", "PA-241", "PA-905",
       "PA-206", "PB-227", "PB-234")  # fmt: skip


@pytest.fixture(scope="module")
def site(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        yield build(today=TODAY, say=lambda line: None, weeks=WEEKS, references=FEW)
        transaction.set_rollback(True)


@pytest.fixture
def scores(site):
    members = [one for one in fixtures.cast().members if one.reference in FEW]
    return school_scores(members, site.calendar)


def time_of(row):
    """A row of somebody absent may keep the planned time; nothing is made of it."""
    return row.seconds if row.status == "done" else None


def counts(attempts):
    return {
        (one.pupil.school_ref, one.skill.key, one.taken_on): (one.status, one.correct, one.wrong, time_of(one))
        for one in attempts.select_related("pupil", "skill")
    }


def flags_of(reference, *kinds):
    return list(Flag.objects.filter(pupil__school_ref=reference, kind__in=kinds).values_list("kind", "skill__key"))


def test_database_holds_what_the_model_wrote(site, scores):
    written = {(one.reference, one.skill, one.on): (one.status, one.correct, one.wrong, time_of(one)) for one in scores}
    entered = counts(Attempt.objects.exclude(status="due"))

    assert {key: written[key] for key in entered} == entered
    assert len(written) - len(entered) == Attempt.objects.filter(status="due").count()


def test_past_came_by_files_and_the_last_weeks_row_by_row(site):
    week_17 = site.calendar.week_began(17)
    loaded = Attempt.objects.filter(import_batch__isnull=False)
    typed = Attempt.objects.filter(import_batch__isnull=True).exclude(status="due")

    assert loaded.filter(taken_on__gte=week_17).count() == typed.filter(taken_on__lt=week_17).count() == 0
    assert SaveKey.objects.count() == typed.count() > 0
    lines = Counter(ChangeRecord.objects.values_list("action", flat=True))
    assert (lines["load-score"], lines["save-score"]) == (loaded.count(), typed.count())


def test_stuck_on_regrouping_raises_the_regrouping_gap(site):
    assert flags_of("PC-178", "regrouping-gap") == [("regrouping-gap", "sub-2d-regroup")]
    [evidence] = Flag.objects.filter(pupil__school_ref="PC-178", kind="regrouping-gap").values_list(
        "evidence", flat=True
    )
    assert evidence["twin_accuracy"] > 0.9 > 0.75 > evidence["skill_accuracy"]


@pytest.mark.parametrize("reference", ["PA-101", "PB-101", "PC-101", "PD-108"])
def test_steady_pupils_raise_no_flag_that_rests_on_scores(site, reference):
    assert flags_of(reference, "regrouping-gap", "accuracy-low") == []
    assert Standing.objects.filter(pupil__school_ref=reference, is_current=True, stage__in=["secure", "kept"]).exists()


def test_untimed_pupil_has_no_rate_and_is_never_secure_without_a_record_of_written_work(site):
    rows = Standing.objects.filter(pupil__school_ref="PA-227", is_current=True, skill__kind="skill")

    assert Pupil.objects.get(school_ref="PA-227").no_timed_checks
    assert rows.count() > 2
    assert set(rows.values_list("last_rate", flat=True)) == {None}
    assert set(rows.values_list("stage", flat=True)) & {"secure", "kept"} == set()
    assert set(Attempt.objects.filter(pupil__school_ref="PA-227").values_list("seconds", flat=True)) == {None}


def test_moved_pupil_keeps_scores_in_the_class_of_their_day(site):
    moved = site.calendar.week_began(14)
    rows = Attempt.objects.filter(pupil__school_ref="PA-241")

    assert set(rows.filter(taken_on__lt=moved).values_list("class_group__name", flat=True)) == {"Slate"}
    assert set(rows.filter(taken_on__gte=moved).values_list("class_group__name", flat=True)) == {"Basalt"}


def test_newcomer_starts_on_the_first_day(site):
    pupil = Pupil.objects.get(school_ref="PA-905")
    first = Attempt.objects.filter(pupil=pupil).order_by("taken_on").first()

    assert pupil.joined_on == site.calendar.week_began(17)
    assert first.taken_on == site.calendar.day(17)


def test_roster_file_gives_its_pupils_and_no_total(site):
    places = Enrolment.objects.filter(school=site.school, ends__isnull=True)
    grades = Counter(places.values_list("class_group__name", "grade"))

    assert Pupil.objects.count() == 92  # 90 of the file; of the newcomers two have come by week 18
    assert {name for name, _grade in grades} == {"Basalt", "Flint", "Granite", "Slate"}
    assert {grade for name, grade in grades if name == "Basalt"} == {2, 3}


def test_names_stand_as_they_are_written(site):
    names = {pupil.school_ref: str(pupil) for pupil in Pupil.objects.all()}

    assert names["PB-227"] == names["PB-234"] == "Rosa Campanaro"
    assert names["PC-164"] == "مريم القاضي"
    assert names["PC-213"] == "Putri"
    assert names["PA-108"] == "Amadou N'Diaye"
    assert max(map(len, names.values())) > 90


def test_one_check_of_this_week_is_open_with_rows_to_enter(site):
    [check] = Check.objects.filter(state="open")
    states = Counter(check.attempts.values_list("status", flat=True))

    assert (check.class_group.name, check.on) == ("Flint", TODAY)
    assert states["due"] > 0
    assert states["done"] > 0


def test_cover_may_enter_the_open_check_and_reads_nothing(site):
    viewer = site.viewer("cover", TODAY)

    assert [check.state for check in scopes.checks_to_enter(viewer)] == ["open"]
    assert list(scopes.checks(viewer)) == list(scopes.pupils(viewer)) == []


def test_every_role_signs_in_with_the_words_that_are_printed(site):
    people = {person.username: person.role for person in site.cast.people}
    users = User.objects.filter(username__in=people)

    assert set(people.values()) == {
        *("office", "teacher", "cover", "assistant", "provider", "coordinator", "head", "parent")
    }
    assert len(users) == len(people)
    assert [user.username for user in users if not user.check_password(SIGN_IN_WITH)] == []
    assert {name: set(site.viewer(name, TODAY).roles) for name in people} == {name: {people[name]} for name in people}


def test_parents_and_groups_see_the_pupils_named_for_them(site):
    own = [pupil.school_ref for pupil in scopes.children(site.viewer("parent1", TODAY))]
    group = [pupil.school_ref for pupil in scopes.pupils(site.viewer("assistant", TODAY))]
    listed = [pupil.school_ref for pupil in scopes.pupils(site.viewer("provider", TODAY))]

    assert sorted(own) == ["PA-115", "PB-227"]
    assert sorted(group) == ["PC-108", "PC-122", "PC-164", "PC-178"]
    assert sorted(listed) == ["PA-150", "PB-108", "PB-136", "PB-164", "PC-206", "PD-157"]


def test_what_is_told_names_each_class_and_what_is_left(site):
    lines = list(told.last_week(whole_school_viewer(TODAY), site.calendar))
    left = Attempt.objects.filter(status="due").count()
    heads = [line for line in lines if not line.startswith("  ")]

    assert [line.partition(",")[0] for line in heads[:4]] == ["Basalt", "Flint", "Granite", "Slate"]
    assert heads[1].startswith("Flint, Friday 20 November: still open, ")
    assert heads[1].endswith(f", {left} left to enter")


def test_table_of_sign_ins_has_a_line_for_everybody(site):
    lines = list(told.sign_ins(site.cast.people, site.pupils()))

    assert lines[0].endswith(SIGN_IN_WITH)
    assert [line.split()[0] for line in lines[1:]] == [person.username for person in site.cast.people]


def test_file_to_try_loads_after_two_errors_are_mended(site):
    office = site.viewer("office", TODAY)
    content = file_to_try(fixtures.content("scores-to-try.template"), site.calendar)

    faults = loading.preview(kind="scores", content=content, by=office, on=TODAY).faults
    assert [(fault.row, fault.column) for fault in faults] == [(8, "Roll Number"), (9, "RIGHT")]
    assert "2 pupils are called “Rosa Campanaro”" in faults[0].sentence
    assert "“l8”" in faults[1].sentence

    mended = content.replace(b"\n;Rosa", b"\nPB-227;Rosa").replace(b"l8", b"18")
    batch = loading.load(kind="scores", content=mended, file_name="mended.csv", by=office, on=TODAY)
    rows = Attempt.objects.filter(import_batch=batch)
    assert Counter(rows.values_list("status", flat=True)) == {"done": 6, "absent": 1, "stopped": 1}
    assert rows.get(pupil__school_ref="PB-129").seconds == 150
