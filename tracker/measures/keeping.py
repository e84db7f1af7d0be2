"""Whether a secure skill is still there weeks later, or has slipped back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tracker.measures.evidence import Evidence
from tracker.measures.marks import Mark, reaches
from tracker.measures.observations import Observation, school_written, wrong_digits
from tracker.measures.rules import DEFAULT_RULES, Rules

KEPT = "kept"
WAITING = "waiting"
DUE = "due"
CHECK_AGAIN = "check-again"
SLIPPED = "slipped"


@dataclass(frozen=True, slots=True)
class KeptAnswer(Evidence):
    """Whether a secure skill was kept.

    Parameters
    ----------
    status : str
        "waiting": too early, or just after a break; "due": a check is wanted; "kept"; "check-again": one failed;
        "slipped": two failed running.
    secure_on, due_on : date
        Day it became secure, and first day on which a check decides.
    kept_on : date or None
        Day of the first check that showed it kept; stays whatever comes later.
    failed_on : tuple of date
        Days of the failed checks since the last good one.
    slipped_on : date or None
        Day of the failed check that made it "slipped".

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> day = date(2026, 10, 6)
    >>> KeptAnswer("waiting", day, date(2026, 11, 3), None, (), None).as_dict()["due_on"]
    '2026-11-03'
    """

    status: str
    secure_on: date
    due_on: date
    kept_on: date | None
    failed_on: tuple[date, ...]
    slipped_on: date | None


def kept(
    observations: Iterable[Observation],
    mark: Mark,
    secure_on: date,
    *,
    on: date,
    rules: Rules = DEFAULT_RULES,
    breaks: Sequence[tuple[date, date]] = (),
    timed: bool = True,
) -> KeptAnswer:
    """Say whether a skill that was secure is still there.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        Attempts of one pupil on one skill; only those written at school and done enter.
    mark : Mark
    secure_on : date
        Day it became secure.
    on : date
        The day of asking; later checks are not used.
    rules : Rules
        ``kept_after_days``, ``kept_rate_share``, ``silent_after_break_days``, ``silent_break_length_days``.
    breaks : sequence of (date, date), shape (b, 2)
        First and last day of each, both included.
    timed : bool
        False for a pupil without timed checks: accuracy alone decides.

    Returns
    -------
    KeptAnswer
        A check decides from ``kept_after_days`` on: accuracy at the mark and ``kept_rate_share`` of its rate. A
        failed one in a break or in the days after it says nothing.

    Raises
    ------
    Nothing

    Source
    ------
    [own]; a retention check after weeks without practice: [trade-mastery]

    Examples
    --------
    >>> mark = Mark(0.95, 20, "common-practice", 1, date(2026, 8, 1))
    >>> later = Observation(date(2026, 11, 3), 10, 34, 1, 0, 120)
    >>> kept([later], mark, date(2026, 10, 6), on=date(2026, 11, 3)).status
    'kept'
    >>> kept([later], mark, date(2026, 10, 13), on=date(2026, 11, 3)).status
    'waiting'
    """
    due_on = secure_on + timedelta(days=rules.kept_after_days)
    silent = _silent_times(breaks, rules)
    outcomes = [
        (seen.on, good)
        for seen in school_written(observations)
        if due_on <= seen.on <= on and (good := _passes(seen, mark, rules=rules, timed=timed)) is not None
        if good or not _within(seen.on, silent)
    ]
    kept_on = next((day for day, good in outcomes if good), None)
    failed = _failed_since(outcomes)
    status = _status(outcomes, failed, early=on < due_on or _within(on, silent))
    return KeptAnswer(status, secure_on, due_on, kept_on, failed, failed[1] if len(failed) > 1 else None)


def _passes(seen: Observation, mark: Mark, *, rules: Rules, timed: bool) -> bool | None:
    """Say whether a check shows the skill kept; None when it can't tell."""
    needs_rate = timed and mark.rate is not None
    if seen.status != "done" or (needs_rate and seen.rate is None):
        return None
    judged = seen.correct + wrong_digits(seen, rules=rules)
    if not judged:
        return False if needs_rate else None
    if not reaches(seen.correct / judged, mark.accuracy, exactly=rules.exactly_on_mark):
        return False
    if not needs_rate or mark.rate is None or seen.rate is None:
        return True
    return reaches(seen.rate, rules.kept_rate_share * mark.rate, exactly=rules.exactly_on_mark)


def _silent_times(breaks: Sequence[tuple[date, date]], rules: Rules) -> list[tuple[date, date]]:
    after = timedelta(days=rules.silent_after_break_days)
    least = timedelta(days=rules.silent_break_length_days - 1)
    return [(start, end + after) for start, end in breaks if end - start >= least]


def _within(day: date, times: Sequence[tuple[date, date]]) -> bool:
    return any(start <= day <= end for start, end in times)


def _failed_since(outcomes: Sequence[tuple[date, bool]]) -> tuple[date, ...]:
    failed: list[date] = []
    for day, good in outcomes:
        failed = [] if good else [*failed, day]
    return tuple(failed)


def _status(outcomes: Sequence[tuple[date, bool]], failed: tuple[date, ...], *, early: bool) -> str:
    if not outcomes:
        return WAITING if early else DUE
    if not failed:
        return KEPT
    return SLIPPED if len(failed) > 1 else CHECK_AGAIN
