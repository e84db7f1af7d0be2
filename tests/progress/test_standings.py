from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures.growth import least_squares, theil_sen
from tracker.measures.marks import Mark
from tracker.measures.rules import MEASURES_VERSION, Rules
from tracker.progress.standings import Case, below_gate, compute
from tracker.queries.whole import Reached, Sat

AT = datetime(2026, 11, 20, 14, 0, tzinfo=UTC)
START = date(2026, 9, 8)
MARK = Mark(0.95, 20, "common-practice", 0, date.min, is_default=True)
EMPTY = dict.fromkeys(Sat._fields)


def sat(week, correct, wrong=0, **fields):
    values = {
        "pk": week + 1,
        "pupil_id": 1,
        "skill_id": 2,
        "taken_on": START + timedelta(weeks=week),
        "status": "done",
        "mode": "written",
        "setting": "class",
        "correct": correct,
        "wrong": wrong,
        "seconds": 120,
        "grade": 3,
        "no_timed": False,
    }
    return Sat(**{**EMPTY, **values, **fields})


def case(*rows, **fields):
    return Case(1, 1, 2, rows, **{"mark": MARK, **fields})


def computed(*cases):
    return compute(cases, rules=Rules(), at=AT)


def current(*rows, **fields):
    return next(row for row in computed(case(*rows, **fields)) if row.is_current)


def test_no_attempt_no_row():
    assert computed(case()) == []


def test_current_row_carries_stage_numbers_and_what_is_missing():
    row = current(sat(0, 40, 2), sat(1, 44, 1), sat(2, 48, 0))

    assert (row.stage, row.checks, row.first_on, row.last_on) == ("quicker", 3, START, START + timedelta(weeks=2))
    assert (row.last_rate, row.mean_rate, row.last_accuracy) == (24.0, 22.0, 1.0)
    assert row.pooled_accuracy == pytest.approx(132 / 135)
    assert (row.mark_rate, row.mark_accuracy, row.mark_version) == (20, 0.95, 0)
    assert [one["code"] for one in row.missing] == ["rate"]
    assert 0.5 < row.chance_at_mark < 0.9
    assert (row.measures_version, row.updated_at) == (MEASURES_VERSION, AT)


@pytest.mark.parametrize(
    ("scores", "stage"),
    [
        ([(40, 0)], "few"),
        ([(24, 16)] * 3, "learning"),
        ([(30, 1)] * 3, "quicker"),
        ([(60, 0)] * 3, "secure"),
        ([(60, 0)] * 8, "kept"),
    ],
)
def test_stage_follows_the_scores(scores, stage):
    assert current(*(sat(week, *score) for week, score in enumerate(scores))).stage == stage


def test_growth_is_that_of_the_reference_formulas():
    # rates 12, 15, 13, 16, 18, 17, 20, 19: slope 1.0476, standard error 0.1932 (facts of the trade, section 5)
    rates = [12, 15, 13, 16, 18, 17, 20, 19]
    row = current(*(sat(week, rate * 2) for week, rate in enumerate(rates)))

    line, median = least_squares(range(8), rates), theil_sen(range(8), rates)
    assert (round(row.growth, 6), round(row.growth_se, 6)) == (1.047619, 0.193185)
    assert (row.growth, row.growth_se) == (pytest.approx(line.slope), pytest.approx(line.slope_se))
    assert (row.growth_low, row.growth_high) == (
        pytest.approx(median.low, abs=1.5e-5),
        pytest.approx(median.high, abs=1.5e-5),
    )


@pytest.mark.parametrize(("checks", "slope", "interval"), [(2, False, False), (3, True, False), (5, True, True)])
def test_growth_waits_for_enough_checks(checks, slope, interval):
    row = current(*(sat(week, 30 + 2 * week) for week in range(checks)))

    assert (row.growth is not None, row.growth_low is not None) == (slope, interval)


def test_weeks_without_a_check_are_not_pressed_together():
    row = current(sat(0, 20), sat(4, 40), sat(8, 60))

    assert row.growth == pytest.approx(2.5)


def test_away_other_modes_and_phases_are_series_of_their_own():
    rows = [
        sat(0, 20),
        sat(1, 50, setting="home"),
        sat(2, 52, mode="oral"),
        sat(3, 24, phase_id=7),
        sat(4, 26, phase_id=7),
    ]

    made = [row for row in computed(case(*rows)) if not row.is_current]

    found = {(row.place, row.mode, row.phase_id): (row.checks, row.last_rate) for row in made}
    assert found == {
        ("school", "written", None): (1, 10.0),
        ("away", "written", None): (1, 25.0),
        ("school", "oral", None): (1, None),
        ("school", "written", 7): (2, 13.0),
    }


def test_stage_reads_across_phases_but_growth_is_that_of_the_latest():
    before = [sat(week, 20 + week) for week in range(6)]
    after = [sat(6 + week, 40 + 4 * week, phase_id=7) for week in range(4)]

    row = current(*before, *after)

    assert (row.checks, row.growth) == (10, pytest.approx(2.0))


def test_attempts_away_never_enter_the_stage():
    row = current(*(sat(week, 60, setting="remote") for week in range(5)))

    assert (row.stage, row.checks, row.last_rate, row.growth) == ("not-started", 0, None, None)


def test_stopped_serves_accuracy_but_no_rate():
    row = current(sat(0, 40, 0), sat(1, 5, 5, status="stopped"))

    assert (row.last_rate, row.last_accuracy, row.checks) == (20.0, 0.5, 2)


def test_absent_counts_for_nothing():
    made = computed(case(sat(0, 40, 0), sat(1, None, None, status="absent", seconds=None)))

    assert [(row.checks, row.last_on) for row in made] == [(1, START), (1, START)]


def test_pupil_without_timed_checks_has_no_mark_for_speed():
    row = current(*(sat(week, 40, 0, seconds=None) for week in range(4)), no_timed=True)

    assert (row.stage, row.mark_rate, row.mark_accuracy) == ("learning", None, 0.95)
    assert [one["code"] for one in row.missing] == ["written-material"]


def test_written_work_and_accuracy_make_an_untimed_pupil_secure():
    row = current(
        *(sat(week, 40, 0, seconds=None) for week in range(3)), no_timed=True, reached=Reached(None, None, START)
    )

    assert (row.stage, row.secure_on) == ("secure", START + timedelta(weeks=2))


def test_recorded_days_hold_whatever_comes_later():
    row = current(sat(0, 4, 30), sat(1, 4, 30), sat(2, 4, 30), reached=Reached(START, None, None))

    assert (row.stage, row.secure_on) == ("secure", START)


def test_new_mark_judges_from_its_day_on():
    lower = Mark(0.95, 10, "school", 1, START + timedelta(weeks=3))
    rows = [sat(0, 30), sat(1, 30), sat(2, 30)]

    assert current(*rows, mark=lower).stage == "quicker"
    later = current(*rows, sat(3, 30), mark=lower)
    assert (later.stage, later.secure_on) == ("secure", START + timedelta(weeks=3))


def test_skill_without_a_mark_is_never_secure():
    row = current(*(sat(week, 60) for week in range(6)), mark=None)

    assert (row.stage, row.mark_rate, row.mark_accuracy, row.mark_version) == ("quicker", None, None, 0)


def test_many_cases_together_give_what_each_gives_alone():
    one = case(*(sat(week, 20 + week) for week in range(6)))
    two = Case(1, 9, 2, [sat(week, 40 - week, 3, pupil_id=9) for week in range(9)], MARK)

    together, apart = computed(one, two), [*computed(one), *computed(two)]

    assert [vars(row) | {"_state": 0} for row in together] == [vars(row) | {"_state": 0} for row in apart]


SCORES = st.lists(st.tuples(st.integers(0, 80), st.integers(0, 30)), min_size=1, max_size=12)


@given(SCORES, st.integers(0, 80))
def test_recorded_day_is_never_brought_forward_by_a_later_worse_score(scores, last):
    rows = [sat(week, *score) for week, score in enumerate(scores)]
    before = current(*rows).secure_on

    after = current(*rows, sat(len(rows), min(last, 10), 30)).secure_on

    assert before is None or after == before


@given(SCORES)
def test_every_number_is_a_number_or_nothing(scores):
    for row in computed(case(*(sat(week, *score) for week, score in enumerate(scores)))):
        numbers = [row.last_rate, row.last_accuracy, row.pooled_accuracy, row.mean_rate, row.growth, row.growth_se]
        assert all(value is None or value == value for value in numbers)
        assert all(value is None or 0 <= value <= 1 for value in numbers[1:3])


def test_class_counts_only_pupils_with_enough_checks():
    weak = [case(*(sat(week, 20, 20) for week in range(3))).answer(Rules()) for _ in range(4)]
    new = [case(sat(0, 20, 20)).answer(Rules()) for _ in range(3)]

    assert below_gate(weak, class_size=6, rules=Rules()) is True
    assert below_gate(new * 2, class_size=6, rules=Rules()) is False
    assert below_gate(weak[:3], class_size=6, rules=Rules()) is False
