from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import builders as make
from tests.actions.scene import ON
from tracker.actions.errors import Refused
from tracker.actions.typed import Entry, Typed, entry_of, read
from tracker.models import Attempt, Pupil, SchoolYear, Sheet

YEAR = SchoolYear(starts=make.YEAR_STARTS, ends=make.YEAR_ENDS)
ITEMS = [2, 4, 6, 9]
PUPIL = {"joined_on": date(2026, 9, 14), "left_on": None, "no_timed_checks": False}


def row(*, seconds=120, sheet=True, **pupil):
    """A row still due, unsaved: a sheet of four items and nine digits."""
    return Attempt(
        pupil=Pupil(**{**PUPIL, **pupil}),
        sheet=Sheet(seconds=120, digits_possible=9) if sheet else None,
        taken_on=ON,
        seconds=seconds,
        status="due",
    )


def entry(typed, one=None, *, items=ITEMS, on=ON):
    return read(typed, one or row(), year=YEAR, items=items, on=on)


REFUSED = {
    "negative": (Typed(correct=-1, wrong=0), "correct", "Digits correct is a whole number from 0 to 999."),
    "absurd": (Typed(correct=1000, wrong=0), "correct", "Digits correct is a whole number from 0 to 999."),
    "letters": (Typed(correct="12", wrong=0), "correct", "Digits correct is a whole number from 0 to 999."),
    "yes": (Typed(correct=True, wrong=0), "correct", "Digits correct is a whole number from 0 to 999."),
    "fraction": (Typed(correct=3, wrong=0.5), "wrong", "Digits wrong is a whole number from 0 to 999."),
    "omitted": (Typed(correct=3, wrong=0, omitted=-2), "omitted", "Digits left out is a whole number from 0 to 999."),
    "zero-time": (
        Typed(correct=3, wrong=0, seconds=0), "seconds",
        "The time is a whole number of seconds from 1 to 3600, or empty.",
    ),
    "long-time": (
        Typed(correct=3, wrong=0, seconds=3601), "seconds",
        "The time is a whole number of seconds from 1 to 3600, or empty.",
    ),
    "beyond": (Typed(correct=10, wrong=0), "correct", "This sheet holds 9 digits; digits correct can be 0 to 9."),
    "beyond-left-out": (
        Typed(correct=8, wrong=0, omitted=2), "correct", "This sheet holds 9 digits; digits correct can be 0 to 7."
    ),
    "together": (
        Typed(correct=7, wrong=3), "wrong",
        "This sheet holds 9 digits; with 7 correct, digits wrong can be 0 to 2. "
        "If the pupil wrote more digits than that, confirm the entry.",
    ),
    "no-wrong": (Typed(correct=7), "wrong", "Type how many digits were wrong, 0 if none."),
    "no-correct": (Typed(wrong=1), "correct", "Type how many digits were correct, 0 if none."),
    "nothing": (Typed(), "correct", "Type how many digits were correct, 0 if none."),
    "both-ways": (
        Typed(correct=4, reached=2, wrong=0), "reached",
        "Type either the digits correct or the last item reached, not both.",
    ),
    "no-such-item": (Typed(reached=5, wrong=0), "reached", "The sheet has 4 items; the last one reached can't be 5."),
    "reach-without-wrong": (Typed(reached=2), "wrong", "Type how many digits were wrong, 0 if none."),
    "wrong-beyond-reach": (
        Typed(reached=2, wrong=4, omitted=1), "wrong",
        "Up to item 2 the sheet holds 4 digits; wrong and left out can't be more.",
    ),
    "absent-with-counts": (
        Typed(status="absent", wrong=3), "wrong",
        "A row marked “absent” has no digits; empty the boxes or choose “done” or “stopped”.",
    ),
    "not-given-with-item": (
        Typed(status="not-given", reached=3), "reached",
        "A row marked “not given” has no digits; empty the boxes or choose “done” or “stopped”.",
    ),
    "status": (
        Typed(status="lost"), "status", "“lost” can't be chosen; allowed are: due, done, absent, stopped, not given."
    ),
    "mode": (
        Typed(correct=1, wrong=0, mode="sung"), "mode",
        "“sung” can't be chosen; allowed are: written, oral, scribed, keyboard, number tiles.",
    ),
    "setting": (
        Typed(correct=1, wrong=0, setting="moon"), "setting",
        "“moon” can't be chosen; allowed are: in class, in a small group, at home, remote.",
    ),
    "tomorrow": (
        Typed(correct=1, wrong=0, taken_on=ON + timedelta(days=1)), "taken_on",
        "21 November 2026 has not come yet. Type the day on which the check was taken, 20 November 2026 at the latest.",
    ),
    "last-year": (
        Typed(correct=1, wrong=0, taken_on=date(2026, 6, 1)), "taken_on",
        "The day must lie in the school year, from 7 September 2026 to 2 July 2027.",
    ),
    "before-joining": (
        Typed(correct=1, wrong=0, taken_on=date(2026, 9, 10)), "taken_on",
        "This pupil joined on 14 September 2026; a check can't be dated before that, nor after leaving.",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("typed", "field", "sentence"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_is_refused_with_the_field_and_what_is_allowed(typed, field, sentence):
    with pytest.raises(Refused) as refused:
        entry(typed)

    assert (refused.value.field, refused.value.sentence) == (field, sentence)


def test_day_after_leaving_is_refused():
    with pytest.raises(Refused) as refused:
        entry(Typed(correct=1, wrong=0, taken_on=ON), row(left_on=date(2026, 10, 2)))

    assert refused.value.field == "taken_on"


def test_last_item_needs_a_list_of_items():
    with pytest.raises(Refused) as refused:
        entry(Typed(reached=2, wrong=0), items=[])

    assert refused.value.sentence == "This sheet has no list of items; type the digits correct and wrong."


def test_time_of_a_pupil_without_timed_checks_is_refused():
    with pytest.raises(Refused) as refused:
        entry(Typed(correct=1, wrong=0, seconds=60), row(no_timed_checks=True, seconds=None))

    assert refused.value.field == "seconds"


def test_more_digits_than_the_answers_have_can_be_confirmed():
    found = entry(Typed(correct=7, wrong=3, confirmed=True))

    assert (found.correct, found.wrong, found.confirmed) == (7, 3, True)


def test_sheet_from_outside_without_a_count_takes_any_number():
    assert entry(Typed(correct=400, wrong=3), row(sheet=False)).correct == 400


@pytest.mark.parametrize(
    ("planned", "typed", "kept"), [(120, None, 120), (120, 95, 95), (None, None, None), (None, 80, 80)]
)
def test_time_is_the_typed_one_or_the_planned_one(planned, typed, kept):
    assert entry(Typed(correct=1, wrong=0, seconds=typed), row(seconds=planned)).seconds == kept


def test_planned_time_stays_with_a_row_that_is_absent():
    assert entry(Typed(status="absent")).seconds == 120


def test_empty_boxes_for_mode_setting_and_day_keep_what_was_planned():
    found = entry(Typed(correct=1, wrong=0))

    assert (found.mode, found.setting, found.taken_on) == ("written", "class", ON)


def test_row_that_is_due_again_forgets_how_it_was_typed():
    done = row()
    for name, value in vars(entry(Typed(reached=2, wrong=0))).items():
        setattr(done, name, value)

    found = entry(Typed(status="due"), done)

    assert found == replace(entry_of(row()), typed_as="")


def test_no_digit_at_all_was_reached():
    found = entry(Typed(reached=0, wrong=0))

    assert (found.correct, found.wrong, found.omitted) == (0, 0, 0)


@given(st.integers(0, 4), st.integers(0, 9), st.integers(0, 9))
def test_last_item_always_gives_counts_that_add_up_to_its_running_total(reached, wrong, omitted):
    up_to = ITEMS[reached - 1] if reached else 0
    typed = Typed(reached=reached, wrong=wrong, omitted=omitted)
    if wrong + omitted > up_to:
        with pytest.raises(Refused):
            entry(typed)
        return

    found = entry(typed)

    assert found.correct + found.wrong + found.omitted == up_to


@given(st.integers(0, 9), st.integers(0, 9), st.sampled_from([None, 1, 90]))
def test_entry_survives_being_kept_as_json(correct, wrong, seconds):
    found = entry(Typed(correct=correct, wrong=wrong, seconds=seconds, confirmed=True))

    assert Entry.from_json(found.as_json()) == found
