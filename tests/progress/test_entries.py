from datetime import timedelta

import pytest

from tests import builders as make
from tracker.models import ChangeRecord
from tracker.progress.entries import Answer, answer_words, bare, change_line, entry_words, when
from tracker.progress.rows import Doubt

DONE = {"status": "done", "correct": 33, "wrong": 1, "reached": None, "seconds": 120}


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (DONE, "33 correct, 1 wrong"),
        (DONE | {"reached": 14}, "up to item 14, 1 wrong"),
        (DONE | {"status": "stopped"}, "33 correct, 1 wrong, stopped"),
        (DONE | {"status": "stopped", "correct": None, "wrong": None}, "stopped, nothing counted"),
        (DONE | {"status": "absent", "correct": None, "wrong": None}, "absent"),
        (DONE | {"status": "due", "correct": None, "wrong": None}, "empty"),
    ],
)
def test_entry_is_said_in_words(values, words):
    assert entry_words(values) == words


def test_time_is_said_where_two_entries_differ_in_it():
    assert entry_words(DONE, beside=DONE | {"seconds": 90}) == "33 correct, 1 wrong, in 120 s"
    assert entry_words(DONE | {"seconds": None}, beside=DONE) == "33 correct, 1 wrong, untimed"


def test_rate_is_rounded_not_cut_off():
    assert answer_words(rate=53.06, accuracy=0.996, stage="quicker", doubt=None).rate == "53.1"


@pytest.mark.parametrize(
    ("stage", "rate", "ruled"),
    [("learning", 10.0, "accuracy"), ("quicker", 10.0, "rate"), ("kept", None, "accuracy"), ("", 10.0, "")],
)
def test_number_that_counts_stands_over_the_rule(stage, rate, ruled):
    assert answer_words(rate=rate, accuracy=0.8, stage=stage, doubt=None).ruled == ruled


def test_nothing_written_has_neither_rate_nor_accuracy():
    assert answer_words(rate=None, accuracy=None, stage="few", doubt=None) == Answer(rate="–", accuracy="–")


@pytest.mark.parametrize("code", ["more-than-sheet", "finished-needs-time"])
def test_doubt_that_tells_nothing_of_before_stays_as_it_is(code):
    assert bare(Doubt(code, "What the sheet holds.")) == Doubt(code, "What the sheet holds.")


def test_doubt_about_the_last_checks_is_bare_for_a_cover():
    assert bare(Doubt("unlike-last-checks", "usually about 31")) == Doubt("please-check", "Please check this entry.")


@pytest.mark.django_db
def test_time_is_the_schools_and_other_days_are_named():
    school = make.make_school(timezone="America/Toronto")
    viewer = make.viewer(make.make_member(school, "teacher"), school)

    # 14:00 in London is 9 o'clock in Toronto in November (IANA time zone database).
    assert when(make.NOW, viewer) == "09:00"
    assert when(make.NOW - timedelta(days=1), viewer) == "19 November, 09:00"
    assert when(None, viewer) == ""


@pytest.mark.django_db
def test_change_that_nobody_would_see_is_left_out():
    school = make.make_school()
    viewer = make.viewer(make.make_member(school, "teacher"), school)
    change = ChangeRecord(before=DONE, after=DONE | {"confirmed": True}, recorded_at=make.NOW, why="")

    assert change_line(change, "Mira Solberg", viewer) is None
    change.why = "Looked at the sheet"
    assert change_line(change, "", viewer).who == "somebody"
