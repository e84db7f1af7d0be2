from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.observed import check
from tracker.measures.observations import (
    Observation,
    pooled_accuracy,
    school_week,
    school_weeks_between,
    school_written,
    wrong_digits,
)
from tracker.measures.rules import Rules

YEAR_START = date(2026, 9, 7)
DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))
COUNTS = st.integers(0, 200)


# Facts of the trade, section 2 (COMPUTED): 26 correct, 4 wrong, 120 s; 45 correct in 90 s; nothing written.
@pytest.mark.parametrize(
    ("correct", "wrong", "seconds", "rate", "accuracy"),
    [(26, 4, 120, 13.0, 26 / 30), (45, 0, 90, 30.0, 1.0), (0, 0, 60, 0.0, None), (0, 5, 60, 0.0, 0.0)],
)
def test_rate_and_accuracy_have_the_published_values(correct, wrong, seconds, rate, accuracy):
    seen = check(1, correct, wrong, seconds=seconds)
    assert (seen.rate, seen.accuracy) == (rate, accuracy)


@pytest.mark.parametrize(
    ("other", "for_rate", "for_accuracy"),
    [
        ({}, True, True),
        ({"seconds": None}, False, True),
        ({"status": "stopped"}, False, True),
        ({"mode": "oral"}, False, True),
        ({"mode": "scribed"}, False, True),
        ({"mode": "keyboard"}, False, True),
        ({"mode": "tiles"}, False, True),
        ({"status": "absent"}, False, False),
        ({"status": "not-given"}, False, False),
        ({"status": "due"}, False, False),
    ],
)
def test_what_counts_for_rate_and_accuracy(other, for_rate, for_accuracy):
    seen = check(1, 20, 1, **other)
    assert (seen.counts_for_rate, seen.counts_for_accuracy) == (for_rate, for_accuracy)
    assert (seen.rate is not None, seen.accuracy is not None) == (for_rate, for_accuracy)


@pytest.mark.parametrize("seconds", [0, -1, float("nan"), float("inf")])
def test_seconds_that_are_none_at_all_are_refused(seconds):
    with pytest.raises(ValueError, match="Seconds are above zero"):
        check(1, seconds=seconds)


@pytest.mark.parametrize("counts", [(-1, 0, 0), (0, -1, 0), (0, 0, -1)])
def test_negative_counts_are_refused(counts):
    with pytest.raises(ValueError, match="zero or more"):
        Observation(YEAR_START, 1, *counts, 60)


@pytest.mark.parametrize("field", ["status", "mode", "place"])
def test_unknown_words_are_refused(field):
    with pytest.raises(ValueError, match=f"{field} is 'moon', but allowed are "):
        check(1, **{field: "moon"})


@given(COUNTS, COUNTS, COUNTS, st.sampled_from(["omitted", "wrong"]))
def test_accuracy_is_a_share(correct, wrong, omitted, skipped):
    seen = check(1, correct, wrong, omitted=omitted)
    rules = Rules(skipped_digits=skipped)
    pooled = pooled_accuracy([seen, seen], rules=rules)
    assert (pooled is None) == (correct + wrong == 0)
    assert pooled is None or 0 <= pooled <= 1
    assert wrong_digits(seen, rules=rules) == wrong + (omitted if skipped == "wrong" else 0)


def test_school_written_leaves_out_away_and_other_modes():
    kept = check(3)
    assert school_written([kept, check(2, place="away"), check(1, mode="oral")]) == [kept]


@given(st.permutations([check(1, 30, 2), check(1, 30, 3), check(1, 28), check(1, 0, status="absent"), check(2, 5)]))
def test_school_written_has_one_order(shuffled):
    assert school_written(shuffled) == school_written([check(1, 30, 2), *[one for one in shuffled if one.wrong != 2]])


@pytest.mark.parametrize(
    ("on", "week"),
    [
        (date(2026, 9, 7), 1),
        (date(2026, 9, 13), 1),
        (date(2026, 9, 14), 2),
        (date(2026, 9, 6), 0),
        (date(2026, 12, 28), 17),  # holidays are not taken out
        (date(2027, 1, 4), 18),
    ],
)
def test_school_week_counts_calendar_weeks(on, week):
    assert school_week(on, year_start=YEAR_START) == week


def test_school_week_with_other_first_days():
    sunday = date(2026, 9, 13)
    assert school_week(sunday, year_start=YEAR_START, week_start=6) == 2
    assert school_week(sunday, year_start=YEAR_START, week_start=0) == 1
    with pytest.raises(ValueError, match="allowed is 0"):
        school_week(sunday, year_start=YEAR_START, week_start=7)


def test_school_week_of_a_year_that_starts_mid_week():
    assert school_week(date(2026, 9, 7), year_start=date(2026, 9, 3)) == 2


@given(DAYS, DAYS, st.integers(0, 6))
def test_school_week_goes_up_by_one_each_week(on, year_start, week_start):
    week = school_week(on, year_start=year_start, week_start=week_start)
    assert school_week(on + timedelta(days=7), year_start=year_start, week_start=week_start) == week + 1
    # the calendar of the standard library is the reference: weeks apart by ISO Mondays
    if week_start == 0:
        apart = date.fromisocalendar(*on.isocalendar()[:2], 1) - date.fromisocalendar(*year_start.isocalendar()[:2], 1)
        assert week == apart.days // 7 + 1


AUTUMN = (date(2026, 10, 19), date(2026, 10, 30))  # two school weeks, Monday to Friday


@pytest.mark.parametrize(
    ("first", "last", "breaks", "weeks"),
    [
        (date(2026, 10, 13), date(2026, 10, 13), [], 0),
        (date(2026, 10, 13), date(2026, 10, 16), [], 0),
        (date(2026, 10, 16), date(2026, 10, 19), [], 1),
        (date(2026, 10, 13), date(2026, 11, 3), [], 3),
        (date(2026, 10, 13), date(2026, 11, 3), [AUTUMN], 1),
        (date(2026, 10, 13), date(2026, 10, 30), [AUTUMN], 0),
        (date(2026, 10, 13), date(2026, 11, 3), [(date(2026, 10, 20), date(2026, 10, 23))], 3),  # Monday was school
        (date(2026, 11, 3), date(2026, 10, 13), [], 0),
        # two breaks that together fill a week
        (date(2026, 10, 13), date(2026, 10, 27), [(date(2026, 10, 19), date(2026, 10, 20)),
                                                  (date(2026, 10, 21), date(2026, 10, 23))], 1),
    ],
)  # fmt: skip
def test_school_weeks_between_leaves_out_whole_weeks_of_a_break(first, last, breaks, weeks):
    assert school_weeks_between(first, last, breaks=breaks) == weeks


def test_school_weeks_between_with_sunday_to_thursday():
    breaks = [(date(2026, 10, 18), date(2026, 10, 22))]
    asked = {"breaks": breaks, "week_start": 6}
    first, last = date(2026, 10, 13), date(2026, 10, 27)
    assert school_weeks_between(first, last, **asked, school_days=frozenset({6, 0, 1, 2, 3})) == 1
    assert school_weeks_between(first, last, **asked) == 2  # Friday is school where weeks run Monday to Friday
