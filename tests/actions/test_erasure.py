"""Erasing a pupil: everything about the child goes, the record stays without saying about whom."""

import json

import pytest
from django.apps import apps
from django.db import models

from tests import builders
from tests.actions.roster_scene import office_of
from tests.builders import NOW, TODAY
from tracker.actions.erasure import erase_pupil, list_file, replay_erasures
from tracker.actions.errors import OutOfScope
from tracker.actions.guardians import add_guardian
from tracker.actions.record import Change, note_change
from tracker.models import (
    AccessRecord,
    Attempt,
    ChangeRecord,
    ErasureEntry,
    Flag,
    ImportBatch,
    Pupil,
    Standing,
    User,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.VAR_DIR = tmp_path


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return office_of(school)


@pytest.fixture
def otter(school):
    return builders.make_class(school)


@pytest.fixture
def pupil(otter):
    """A child with a little of everything."""
    pupil = builders.make_pupil(otter, "Anouk", "Verhaegen")
    builders.make_history(pupil, [(20, 2), (22, 1)])
    builders.make_standing(pupil)
    builders.make_flag(pupil)
    return pupil


def erase(pupil, office):
    erase_pupil(pupil_id=pupil.public_id, by=office, on=TODAY)


def rows_about_pupils():
    """How many rows each table holds that leads to a pupil by keys that can't be empty."""
    found = {}
    for model in apps.get_app_config("tracker").get_models():
        fields = [field for field in model._meta.get_fields() if isinstance(field, models.ForeignKey)]
        if any(field.related_model is Pupil and not field.null for field in fields):
            found[model.__name__] = model.objects.count()
    return {name: number for name, number in found.items() if number}


def test_erase_pupil_takes_the_whole_subtree(pupil, office):
    before = rows_about_pupils()
    erase(pupil, office)

    assert set(before) >= {"Enrolment", "Attempt", "Standing", "Flag"}
    assert rows_about_pupils() == {}


def test_erase_pupil_leaves_the_others(pupil, otter, office):
    other = builders.make_pupil(otter, "Ole", "Berg")
    builders.make_history(other, [(20, 2)])
    erase(pupil, office)

    assert list(Pupil.objects.all()) == [other]
    assert Attempt.objects.count() == 1


def test_erase_pupil_record_no_longer_says_about_whom(pupil, office):
    key = pupil.public_id
    note_change(Change("add-pupil", "pupil", key, key, before={"given_name": "Anouk"}), by=office, on=TODAY)
    note_change(Change("correct-row", "attempt", "a" * 12, key, why="Anouk's sheet"), by=office, on=TODAY)
    AccessRecord.objects.create(school_key=1, user_key=1, pupil_key=key, on=TODAY, first_at=NOW)
    erase(pupil, office)
    rows = list(ChangeRecord.objects.values("action", "subject_key", "pupil_key", "before", "why"))
    kept = str(rows) + str(list(AccessRecord.objects.values()))

    assert [row["action"] for row in rows] == ["add-pupil", "correct-row", "erase-pupil"]
    assert [word for word in (key, "Anouk", "Verhaegen") if word in kept] == []
    # Lines about one child still belong together.
    assert rows[0]["pupil_key"] == rows[1]["pupil_key"] == rows[0]["subject_key"] != ""


def test_erase_pupil_is_taken_out_of_what_files_made(pupil, school, office):
    key = pupil.public_id
    trail = {"pupils": [key, "x"], "changed": [{"pupil": key, "before": {"given_name": "Anouk"}}, {"pupil": "x"}]}
    ImportBatch.objects.create(
        school=school,
        kind="roster",
        file_name="list.csv",
        file_digest="0",
        rows=2,
        trail=trail,
        loaded_on=TODAY,
        loaded_at=NOW,
    )
    erase(pupil, office)

    assert ImportBatch.objects.get().trail == {"pupils": ["x"], "changed": [{"pupil": "x"}]}


def test_erase_pupil_takes_family_accounts_that_were_only_for_this_child(pupil, otter, school, office):
    who = {"starts": TODAY, "by": office, "on": TODAY}
    sibling = builders.make_pupil(otter, "Ole", "Verhaegen")
    add_guardian(pupil_id=pupil.public_id, name="Only Here", **who)
    both = add_guardian(pupil_id=pupil.public_id, name="Both", **who).user
    teacher = builders.make_member(school, "teacher", "Teacher")
    builders.link_guardian(both, sibling)
    builders.link_guardian(teacher, pupil)
    erase(pupil, office)

    assert set(User.objects.values_list("name", flat=True)) == {"Both", "Teacher", "Ottilie Brandt"}


def test_erase_pupil_writes_down_an_entry_without_a_name(pupil, school, office, django_capture_on_commit_callbacks):
    key = pupil.public_id
    with django_capture_on_commit_callbacks(execute=True):
        erase(pupil, office)
    entry = ErasureEntry.objects.get()

    assert (entry.school_id_then, entry.pupil_public_id, entry.on) == (school.pk, key, TODAY)
    assert json.loads(list_file().read_text()) == {"school": school.pk, "pupil": key, "on": "2026-11-20"}


@pytest.mark.parametrize("role", ["coordinator", "teacher", "head"])
def test_erase_pupil_is_for_the_office(pupil, school, role):
    with pytest.raises(OutOfScope):
        erase(pupil, builders.viewer(builders.make_member(school, role), school))

    assert Pupil.objects.count() == 1


def test_erase_pupil_of_another_school_is_out_of_scope(pupil):
    with pytest.raises(OutOfScope):
        erase(pupil, office_of(builders.make_school("Mill School")))


def test_replay_after_a_copy_was_put_back(pupil, otter, school, office, django_capture_on_commit_callbacks):
    key = pupil.public_id
    with django_capture_on_commit_callbacks(execute=True):
        erase(pupil, office)
    # The copy is older than the erasure: the child is back and the table's own entry is gone.
    ErasureEntry.objects.all().delete()
    back = builders.make_pupil(otter, "Anouk", "Verhaegen", public_id=key)
    builders.make_history(back, [(20, 2)])

    assert replay_erasures() == 1
    assert rows_about_pupils() == {}
    assert ErasureEntry.objects.get().pupil_public_id == key
    assert replay_erasures() == 0


def test_replay_reads_the_manifest_of_a_newer_copy(pupil, school, tmp_path):
    path = tmp_path / "copy.sqlite3.manifest.json"
    path.write_text(json.dumps({"erased": [{"school": school.pk, "pupil": pupil.public_id, "on": "2026-11-20"}]}))

    assert replay_erasures(lists=[path]) == 1
    assert (Pupil.objects.count(), Flag.objects.count(), Standing.objects.count()) == (0, 0, 0)


def test_replay_never_reaches_into_another_school(pupil, tmp_path):
    other = builders.make_school("Mill School")
    path = tmp_path / "list.jsonl"
    path.write_text(json.dumps({"school": other.pk, "pupil": pupil.public_id, "on": "2026-11-20"}) + "\n")

    assert replay_erasures(lists=[path]) == 0
    assert Pupil.objects.count() == 1
