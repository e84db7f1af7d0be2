"""When a skill has become secure: a rule with known error rates."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from tracker.measures.keeping import KeptAnswer, kept
from tracker.measures.marks import Mark
from tracker.measures.observations import Observation, school_written
from tracker.measures.pools import Missing, Pools, SecureAnswer
from tracker.measures.rules import DEFAULT_RULES, Rules

__all__ = ["FirstSecure", "KeptAnswer", "Missing", "SecureAnswer", "first_mastery", "first_secure", "kept", "secure_at"]


@dataclass(frozen=True, slots=True)
class FirstSecure:
    """The first time a skill became secure.

    Parameters
    ----------
    on : date
        Day of the event.
    index : int
        Place of its check among the attempts written at school, oldest first.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> FirstSecure(date(2026, 10, 6), 4).index
    4
    """

    on: date
    index: int


def first_mastery(
    met: Iterable[bool | float | None], needed: int, *, missing: str = "skip", event: str = "last"
) -> int | None:
    """Find the first run of checks at the mark.

    Parameters
    ----------
    met : iterable of bool, float or None, shape (n,)
        Whether each check was at the mark [yes or no]; None or NaN when there was none.
    needed : int
        Length of the run [checks].
    missing : str
        "skip": a missing check neither counts nor breaks the run; "break": it breaks it.
    event : str
        "last": the event is the last check of the run; "first": its first.

    Returns
    -------
    int or None
        Index into ``met``; None when there is no such run.

    Raises
    ------
    ValueError
        When ``needed`` is below one.

    Source
    ------
    [trade-mastery]

    Examples
    --------
    >>> first_mastery([False, True, True, True], 2)
    2
    >>> first_mastery([True, None, True], 2), first_mastery([True, None, True], 2, missing="break")
    (2, None)
    """
    if needed < 1:
        raise ValueError(f"A run has at least one check; got {needed}.")
    run: list[int] = []
    for index, value in enumerate(met):
        if value is None or value != value:
            run = run if missing == "skip" else []
        elif value:
            run = [*run, index]
        else:
            run = []
        if len(run) >= needed:
            return run[-1] if event == "last" else run[-needed]
    return None


def secure_at(
    observations: Iterable[Observation], mark: Mark, *, rules: Rules = DEFAULT_RULES, timed: bool = True
) -> SecureAnswer:
    """Say whether the last checks make a skill secure.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        Attempts of one pupil on one skill; only those written at school enter.
    mark : Mark
        Without a rate, pooled accuracy alone decides.
    rules : Rules
        ``secure_rule`` "chance": pooled accuracy of the last ``pool`` checks at the mark, and a chance of at least
        ``chance_at_mark`` that the true rate is; "running": ``running_checks`` in a row at the mark.
    timed : bool
        False for a pupil without timed checks: pooled accuracy alone decides.

    Returns
    -------
    SecureAnswer

    Raises
    ------
    Nothing

    Source
    ------
    [own]; "running": [trade-mastery]

    Examples
    --------
    >>> mark = Mark(0.95, 20, "common-practice", 1, date(2026, 8, 1))
    >>> seen = [Observation(date(2026, 9, day), 2, 50, 1, 0, 120) for day in (1, 8, 15)]
    >>> secure_at(seen, mark).met, secure_at(seen[:2], mark).missing[0].code
    (True, 'timed-checks')
    """
    pools = Pools(mark if timed else replace(mark, rate=None), rules)
    for seen in school_written(observations):
        pools.add(seen)
    return pools.answer()


def first_secure(
    observations: Iterable[Observation],
    mark: Mark,
    *,
    rules: Rules = DEFAULT_RULES,
    timed: bool = True,
    not_before: date | None = None,
) -> FirstSecure | None:
    """Find when a skill first became secure; later checks never change it.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        Attempts of one pupil on one skill; only those written at school enter.
    mark : Mark
    rules : Rules
        ``secure_event``: the day of the last check of the run, or of its first.
    timed : bool
        As in ``secure_at``.
    not_before : date or None
        Earlier checks count, but cannot be the deciding one.

    Returns
    -------
    FirstSecure or None

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> mark = Mark(0.95, 20, "common-practice", 1, date(2026, 8, 1))
    >>> seen = [Observation(date(2026, 9, day), 2, 50, 1, 0, 120) for day in (1, 8, 15, 22)]
    >>> first_secure(seen, mark).on
    datetime.date(2026, 9, 15)
    """
    written = school_written(observations)
    pools = Pools(mark if timed else replace(mark, rate=None), rules)
    for index, seen in enumerate(written):
        may_decide = pools.add(seen, index)
        if may_decide and (not_before is None or seen.on >= not_before) and pools.met():
            event = index if rules.secure_event == "last" else pools.first_of_run()
            return FirstSecure(written[event].on, event)
    return None
