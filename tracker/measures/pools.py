"""The checks of one pupil so far as plain numbers, and whether they make a skill secure."""

from dataclasses import dataclass, field

from tracker.measures.chance import chance_at_mark, rate_needed
from tracker.measures.marks import Mark, at_mark, reaches
from tracker.measures.observations import Observation, wrong_digits
from tracker.measures.rules import Rules


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is missing for a skill to be secure.

    Parameters
    ----------
    code : str
        "checks", "timed-checks", "accuracy", "rate", "running" or "written-material".
    have, need : float
        By code [checks; share; digits correct a minute over the last checks].

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> Missing("timed-checks", 2, 3).need
    3
    """

    code: str
    have: float
    need: float


@dataclass(frozen=True, slots=True)
class SecureAnswer:
    """Whether the last checks make a skill secure, and what is missing.

    Parameters
    ----------
    met : bool
    chance : float or None
        Chance that the true rate is at the mark [share]; None below ``pool`` timed checks or without a mark for rate.
    pooled_accuracy, mean_rate : float or None
        Over the last ``pool`` checks, or as many as there are [share; digits correct a minute].
    rate_needed : float or None
        Mean rate at which the chance is just enough [digits correct a minute].
    run : int
        Checks running at the mark, up to the last one.
    checks : int
        Timed written checks in all.
    missing : tuple of Missing

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> SecureAnswer(False, None, None, None, None, 0, 0, ()).met
    False
    """

    met: bool
    chance: float | None
    pooled_accuracy: float | None
    mean_rate: float | None
    rate_needed: float | None
    run: int
    checks: int
    missing: tuple[Missing, ...]


@dataclass(slots=True)
class Pools:
    """The checks so far, walked once, oldest first; a whole year takes well under a millisecond.

    Parameters
    ----------
    mark : Mark
        Without a rate, pooled accuracy alone decides.
    rules : Rules

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> from datetime import date
    >>> pools = Pools(Mark(0.95, 20, "common-practice", 1, date(2026, 8, 1)), Rules())
    >>> pools.add(Observation(date(2026, 9, 1), 1, 50, 1, 0, 120)), pools.met()
    (True, False)
    """

    mark: Mark
    rules: Rules
    rates: list[float] = field(default_factory=list)
    minutes: list[float] = field(default_factory=list)
    correct: list[int] = field(default_factory=list)
    judged: list[int] = field(default_factory=list)
    deciding: list[int] = field(default_factory=list)
    run: list[int] = field(default_factory=list)

    def add(self, seen: Observation, index: int = 0) -> bool:
        """Take in the next check and say whether it may be the deciding one."""
        rate, accurate = seen.rate, seen.counts_for_accuracy
        judged = seen.correct + wrong_digits(seen, rules=self.rules)
        # a check in which nothing was written keeps its place, so that leaving out never looks better than trying
        if accurate or rate is not None:
            self.correct.append(seen.correct)
            self.judged.append(judged)
        if rate is not None:
            self.rates.append(rate)
            self.minutes.append((seen.seconds or 0.0) / 60)
        decides = accurate if self.mark.rate is None else rate is not None
        if decides:
            self.deciding.append(index)
            accuracy = seen.correct / judged if judged else None
            at = at_mark(rate, accuracy, self.mark, exactly=self.rules.exactly_on_mark)
            self.run = [*self.run, index] if at else []
        elif seen.status != "due" and self.rules.missing_in_run == "break":
            self.run = []
        return decides

    def met(self) -> bool:
        """Say whether the checks so far, up to the last, make the skill secure."""
        if self.rules.secure_rule == "running":
            return len(self.run) >= self.rules.running_checks
        return self._enough() and self._accurate() and self._quick()

    def first_of_run(self) -> int:
        """Give the index of the first check of the run that is met now."""
        if self.rules.secure_rule == "running":
            return self.run[-self.rules.running_checks]
        return self.deciding[-self.rules.pool]

    def answer(self) -> SecureAnswer:
        """Give all numbers behind ``met``."""
        chance = None
        mean, needed = self.mean_rate(), self._needed()
        if mean is not None and needed is not None and self.mark.rate is not None:
            chance = chance_at_mark(mean, self.minutes[-self.rules.pool :], self.mark.rate, rules=self.rules)
        return SecureAnswer(
            met=self.met(),
            chance=chance,
            pooled_accuracy=self.pooled_accuracy(),
            mean_rate=mean,
            rate_needed=needed,
            run=len(self.run),
            checks=len(self.rates),
            missing=tuple(self._missing()),
        )

    def pooled_accuracy(self) -> float | None:
        """Give the accuracy over the last ``pool`` checks together; None when nothing was written."""
        judged = sum(self.judged[-self.rules.pool :])
        return sum(self.correct[-self.rules.pool :]) / judged if judged else None

    def last_accuracy(self) -> float | None:
        """Give the accuracy of the last check in which something was written."""
        written = ((right, all_) for right, all_ in zip(self.correct[::-1], self.judged[::-1], strict=True) if all_)
        return next((right / all_ for right, all_ in written), None)

    def mean_rate(self) -> float | None:
        """Give the mean rate of the last ``pool`` timed checks."""
        last = self.rates[-self.rules.pool :]
        return sum(last) / len(last) if last else None

    def _enough(self) -> bool:
        return len(self.deciding) >= self.rules.pool

    def _accurate(self) -> bool:
        pooled = self.pooled_accuracy()
        return pooled is not None and reaches(pooled, self.mark.accuracy, exactly=self.rules.exactly_on_mark)

    def _needed(self) -> float | None:
        if self.mark.rate is None or len(self.rates) < self.rules.pool:
            return None
        return rate_needed(self.minutes[-self.rules.pool :], self.mark.rate, rules=self.rules)

    def _quick(self) -> bool:
        needed, mean = self._needed(), self.mean_rate()
        if needed is None or mean is None:
            return self.mark.rate is None
        return reaches(mean, needed, exactly=self.rules.exactly_on_mark)

    def _missing(self) -> list[Missing]:
        if self.met():
            return []
        if self.rules.secure_rule == "running":
            return [Missing("running", len(self.run), self.rules.running_checks)]
        missing = []
        if not self._enough():
            code = "checks" if self.mark.rate is None else "timed-checks"
            missing.append(Missing(code, len(self.deciding), self.rules.pool))
        pooled, mean, needed = self.pooled_accuracy(), self.mean_rate(), self._needed()
        if pooled is not None and not self._accurate():
            missing.append(Missing("accuracy", pooled, self.mark.accuracy))
        if mean is not None and needed is not None and not self._quick():
            missing.append(Missing("rate", mean, needed))
        return missing
