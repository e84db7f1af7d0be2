"""When there is reason to look at a pupil's work on a skill; the evidence comes with it."""

import math
from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from tracker.measures.evidence import ClassWide, LowAccuracy, NoRecentCheck, RegroupingGap
from tracker.measures.intervals import newcombe
from tracker.measures.observations import Observation, school_weeks_between, school_written, wrong_digits
from tracker.measures.rules import DEFAULT_RULES, Rules


def regrouping_gap(
    skill_observations: Iterable[Observation],
    twin_observations: Iterable[Observation],
    *,
    on: date,
    taught_from: date | None = None,
    rules: Rules = DEFAULT_RULES,
) -> RegroupingGap | None:
    """Say whether regrouping itself is the obstacle.

    Parameters
    ----------
    skill_observations, twin_observations : iterable of Observation, shape (n,) and (m,)
        One pupil's attempts on the skill with regrouping, and on its twin without.
    on : date
        The day of asking; later checks are not used, and both must have been checked in ``gap_twin_days`` before.
    taught_from : date or None
        Day teaching of the skill began; earlier checks of it do not count. None when all count.
    rules : Rules
        ``gap_checks``, ``gap_twin_days``, ``gap_twin_accuracy``, ``gap_points``, ``gap_confidence``,
        ``accuracy_dispersion``.

    Returns
    -------
    RegroupingGap or None
        When the twin is pooled at its accuracy or better, the last ``gap_checks`` of the skill lie at least
        ``gap_points`` lower, and the interval of the difference stays above zero.

    Raises
    ------
    Nothing

    Source
    ------
    [own]; interval: [newcombe-1998]; matched sheets rather than one mixed score: [trade-scoring]

    Examples
    --------
    >>> weeks = [date(2026, 10, day) for day in (6, 13, 20)]
    >>> skill = [Observation(day, 6, 20, 20, 0, 120) for day in weeks]
    >>> twin = [Observation(day, 6, 46, 2, 0, 120) for day in weeks]
    >>> found = regrouping_gap(skill, twin, on=date(2026, 10, 20))
    >>> round(found.gap, 3), found.skill_right, found.skill_total
    (0.458, 60, 120)
    """
    since = on - timedelta(days=rules.gap_twin_days)
    skill = [seen for seen in _judged(skill_observations, until=on) if taught_from is None or seen.on >= taught_from]
    skill = skill[-rules.gap_checks :]
    twin = [seen for seen in _judged(twin_observations, until=on) if seen.on >= since]
    if len(skill) < rules.gap_checks or skill[-1].on < since or not twin:
        return None
    return _gap(skill, twin, rules)


def _gap(skill: Sequence[Observation], twin: Sequence[Observation], rules: Rules) -> RegroupingGap | None:
    one, two = _counts(twin, rules), _counts(skill, rules)
    found = newcombe(one, two, confidence=rules.gap_confidence, dispersion=rules.accuracy_dispersion)
    in_hand = one[0] / one[1] >= rules.gap_twin_accuracy
    # a gap of exactly so many points counts; the tiny allowance is for the division
    if not in_hand or found.value < rules.gap_points - 1e-9 or found.low <= 0:
        return None
    return RegroupingGap(
        skill_accuracy=two[0] / two[1],
        twin_accuracy=one[0] / one[1],
        gap=found.value,
        low=found.low,
        high=found.high,
        method=found.method,
        confidence=rules.gap_confidence,
        skill_right=two[0],
        skill_total=two[1],
        twin_right=one[0],
        twin_total=one[1],
        skill_dates=tuple(seen.on for seen in skill),
        twin_dates=tuple(seen.on for seen in twin),
    )


def _judged(observations: Iterable[Observation], *, until: date | None = None) -> list[Observation]:
    written = school_written(observations)
    return [seen for seen in written if seen.counts_for_accuracy and (until is None or seen.on <= until)]


def _counts(observations: Sequence[Observation], rules: Rules) -> tuple[int, int]:
    right = sum(seen.correct for seen in observations)
    return right, right + sum(wrong_digits(seen, rules=rules) for seen in observations)


def accuracy_stays_low(observations: Iterable[Observation], *, rules: Rules = DEFAULT_RULES) -> LowAccuracy | None:
    """Say whether accuracy stays low although the rate may rise.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        One pupil's attempts on one skill; only those written at school enter.
    rules : Rules
        ``low_accuracy``, ``low_accuracy_checks``, ``low_accuracy_from``, ``low_accuracy_gain``,
        ``low_accuracy_sds``, ``accuracy_dispersion``.

    Returns
    -------
    LowAccuracy or None
        When the last checks, pooled, have their upper bound below the limit and are not up on those before.

    Raises
    ------
    Nothing

    Source
    ------
    [stall-accuracy]

    Examples
    --------
    >>> from datetime import timedelta
    >>> seen = [Observation(date(2026, 9, 8) + timedelta(weeks=n), n + 1, 30, 10, 0, 120) for n in range(8)]
    >>> found = accuracy_stays_low(seen)
    >>> found.accuracy, round(found.upper, 3), found.before
    (0.75, 0.821, 0.75)
    >>> accuracy_stays_low(seen[:7]) is None
    True
    """
    judged = _judged(observations)
    size = rules.low_accuracy_checks
    if len(judged) < max(rules.low_accuracy_from, 2 * size):
        return None
    last = judged[-size:]
    right, total = _counts(last, rules)
    before_right, before_total = _counts(judged[-2 * size : -size], rules)
    share, before = right / total, before_right / before_total
    upper = share + rules.low_accuracy_sds * math.sqrt(rules.accuracy_dispersion * share * (1 - share) / total)
    if upper >= rules.low_accuracy or share - before >= rules.low_accuracy_gain - 1e-9:
        return None
    return LowAccuracy(share, upper, before, right, total, tuple(seen.on for seen in last))


def no_recent_check(
    last_on: date | None,
    *,
    on: date,
    breaks: Sequence[tuple[date, date]] = (),
    current_since: date | None = None,
    week_start: int = 0,
    rules: Rules = DEFAULT_RULES,
) -> NoRecentCheck | None:
    """Say whether a pupil's current skill has gone unchecked for too long.

    Parameters
    ----------
    last_on : date or None
        Day of the last attempt on it; None when there was none.
    on : date
        The day of asking.
    breaks : sequence of (date, date), shape (b, 2)
        First and last day of each; weeks wholly inside one are not counted.
    current_since : date or None
        Day the skill became the current one, for a pupil without an attempt on it.
    week_start : int
        0 Monday to 6 Sunday.
    rules : Rules
        ``no_check_weeks``.

    Returns
    -------
    NoRecentCheck or None
        None too when neither day is known.

    Raises
    ------
    ValueError
        When ``week_start`` is not 0 to 6.

    Source
    ------
    [own]

    Examples
    --------
    >>> no_recent_check(date(2026, 9, 8), on=date(2026, 9, 29)).weeks
    3
    >>> no_recent_check(date(2026, 9, 8), on=date(2026, 9, 25)) is None
    True
    """
    known = [day for day in (last_on, current_since) if day is not None]
    if not known:
        return None
    weeks = school_weeks_between(max(known), on, breaks=breaks, week_start=week_start)
    return NoRecentCheck(max(known), weeks) if weeks >= rules.no_check_weeks else None


def class_wide(
    accuracies: Iterable[float | None], *, class_size: int | None = None, rules: Rules = DEFAULT_RULES
) -> ClassWide | None:
    """Say whether a skill should be taught to the whole class rather than flagged pupil by pupil.

    Parameters
    ----------
    accuracies : iterable of float or None, shape (n,)
        Each pupil's pooled accuracy on the skill [share]; None when there are too few checks to say.
    class_size : int or None
        Pupils in the class; None: only those with an accuracy make up the class.
    rules : Rules
        ``class_share``, ``class_pupils``, ``accuracy_gate``.

    Returns
    -------
    ClassWide or None
        When more than ``class_share`` of at least ``class_pupils`` are below the gate.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> class_wide([0.7] * 5 + [0.95] * 4).below
    5
    >>> class_wide([0.7] * 5 + [0.95] * 5) is None
    True
    """
    known = [share for share in accuracies if share is not None]
    pupils = len(known) if class_size is None else class_size
    below = sum(share < rules.accuracy_gate for share in known)
    if pupils < rules.class_pupils or below <= rules.class_share * pupils:
        return None
    return ClassWide(below, len(known), pupils)


def may_rise_again(
    raised_on: date | None, observations: Iterable[Observation], *, rules: Rules = DEFAULT_RULES
) -> bool:
    """Say whether the same flag may be raised again.

    Parameters
    ----------
    raised_on : date or None
        Day the last one was raised; None when there was none.
    observations : iterable of Observation, shape (n,)
        One pupil's attempts on the skill.
    rules : Rules
        ``rise_again_checks``.

    Returns
    -------
    bool

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> may_rise_again(None, []), may_rise_again(date(2026, 9, 8), [])
    (True, False)
    """
    if raised_on is None:
        return True
    new = [seen for seen in school_written(observations) if seen.on > raised_on]
    return sum(seen.counts_for_rate or seen.counts_for_accuracy for seen in new) >= rules.rise_again_checks


def writing_limits(rate: float | None, copying_rate: float | None, *, rules: Rules = DEFAULT_RULES) -> bool:
    """Say whether a rate is so near the speed of copying digits that writing limits it.

    Parameters
    ----------
    rate, copying_rate : float or None
        [digits correct a minute]; None when unknown.
    rules : Rules
        ``copying_ceiling``.

    Returns
    -------
    bool
        False when either is unknown.

    Raises
    ------
    Nothing

    Source
    ------
    [own], after [howell-nolet-2000]

    Examples
    --------
    >>> writing_limits(40, 50), writing_limits(39, 50), writing_limits(40, None)
    (True, False, False)
    """
    if rate is None or not copying_rate:
        return False
    return rate >= rules.copying_ceiling * copying_rate - 1e-9


def suggest_untimed(observations: Iterable[Observation], *, rules: Rules = DEFAULT_RULES) -> bool:
    """Say whether the last attempts were stopped, so that talking and an untimed sheet come next.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
    rules : Rules
        ``stopped_in_row``; absent, not-given and due ones neither count nor break the row.

    Returns
    -------
    bool

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> suggest_untimed([Observation(date(2026, 9, day), 1, 3, 0, 0, None, status="stopped") for day in (8, 15)])
    True
    """
    sat = [seen.status for seen in school_written(observations) if seen.status in ("done", "stopped")]
    last = sat[-rules.stopped_in_row :]
    return len(last) == rules.stopped_in_row and set(last) == {"stopped"}
