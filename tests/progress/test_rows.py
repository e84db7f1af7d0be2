from datetime import date, timedelta

import pytest

from tracker.measures.observations import Observation
from tracker.measures.rules import Rules
from tracker.progress.rows import Doubt, doubt_of, is_finished

DAY = date(2026, 11, 20)


def seen(correct, wrong=0, *, weeks_ago=0, **fields):
    return Observation(DAY - timedelta(weeks=weeks_ago), 12 - weeks_ago, correct, wrong, 0, 120, **fields)


EARLIER = [seen(62, 1, weeks_ago=n) for n in (4, 3, 2, 1)]


def asked(one, *, history=True, possible=90, earlier=EARLIER):
    return doubt_of(one, earlier, possible=possible, rules=Rules(), history=history)


def test_usual_entry_raises_no_question():
    assert asked(seen(60, 2)) is None


def test_first_entry_of_a_pupil_raises_no_question():
    assert asked(seen(3), earlier=[]) is None


def test_entry_far_below_names_both_numbers():
    assert asked(seen(7)) == Doubt(
        "unlike-last-checks", "Please check this entry: usually about 64 digits correct, now 7."
    )


def test_entry_with_many_errors_names_both_numbers():
    assert asked(seen(60, 25)) == Doubt(
        "more-wrong-than-usual", "Please check this entry: usually about 1 digits wrong, now 25."
    )


@pytest.mark.parametrize("one", [seen(7), seen(60, 25)])
def test_reader_without_history_learns_nothing_of_it(one):
    assert asked(one, history=False) == Doubt("please-check", "Please check this entry.")


def test_more_than_the_sheet_holds_is_no_history():
    assert asked(seen(95), history=False) == Doubt(
        "more-than-sheet", "Please check this entry: the sheet holds 90 digits, typed are 95."
    )


def test_untimed_entry_is_compared_with_the_sheet_only():
    untimed = Observation(DAY, 12, 7, 0, 0, None)

    assert asked(untimed) is None


@pytest.mark.parametrize(
    ("counts", "possible", "finished"),
    [((9, 0, 0), 9, True), ((6, 2, 1), 9, True), ((8, 0, 0), 9, False), ((40, 0, 0), None, False)],
)
def test_sheet_is_finished_when_every_digit_is_accounted_for(counts, possible, finished):
    correct, wrong, omitted = counts

    assert is_finished(correct=correct, wrong=wrong, omitted=omitted, possible=possible) is finished
