"""Where a pupil stands on one skill: the stage, and the numbers that it rests on."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from tracker.measures import gettext_noop
from tracker.measures.keeping import kept
from tracker.measures.marks import Mark
from tracker.measures.mastery import first_secure
from tracker.measures.observations import Observation, school_written
from tracker.measures.pools import Missing, Pools, SecureAnswer
from tracker.measures.rules import DEFAULT_RULES, Rules

NOT_STARTED = "not-started"
FEW = "few"
LEARNING = "learning"
QUICKER = "quicker"
SECURE = "secure"
KEPT = "kept"

STAGES = (NOT_STARTED, FEW, LEARNING, QUICKER, SECURE, KEPT)
LETTERS = {NOT_STARTED: "", FEW: "", LEARNING: "L", QUICKER: "Q", SECURE: "S", KEPT: "K"}
LABELS = {
    NOT_STARTED: gettext_noop("not started"),
    FEW: gettext_noop("too few checks"),
    LEARNING: gettext_noop("learning"),
    QUICKER: gettext_noop("getting quicker"),
    SECURE: gettext_noop("secure"),
    KEPT: gettext_noop("kept"),
}
# A skill without any mark (copying, a mixed sheet before the school set one) is never secure.
_NO_MARK = Mark(1.0, None, "none", 0, date.min)


@dataclass(frozen=True, slots=True)
class StageAnswer:
    """A pupil's stage on one skill.

    Parameters
    ----------
    stage : str
        One of ``STAGES``; its label and letter in ``LABELS`` and ``LETTERS``.
    checks, timed_checks : int
        Attempts written at school with counts, and the timed ones among them.
    last_rate, mean_rate, rate_needed : float or None
        Of the last timed check; of the last ``pool``; and what that mean has to be [digits correct a minute].
    last_accuracy, pooled_accuracy : float or None
        Of the last check with something written, and of the last ``pool`` together [share].
    chance_at_mark : float or None
        Chance that the true rate is at the mark [share].
    secure_on, kept_on : date or None
    missing : tuple of Missing
        What is missing to be secure; empty once it is.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> stage([], None).stage
    'not-started'
    """

    stage: str
    checks: int
    timed_checks: int
    last_rate: float | None
    mean_rate: float | None
    rate_needed: float | None
    last_accuracy: float | None
    pooled_accuracy: float | None
    chance_at_mark: float | None
    secure_on: date | None
    kept_on: date | None
    missing: tuple[Missing, ...]

    @property
    def letter(self) -> str:
        """The letter printed beside the number; empty before there is a stage."""
        return LETTERS[self.stage]

    @property
    def label(self) -> str:
        """The English label, to be translated where it is shown."""
        return LABELS[self.stage]


def stage(
    observations: Iterable[Observation],
    mark: Mark | None,
    *,
    rules: Rules = DEFAULT_RULES,
    secure_on: date | None = None,
    kept_on: date | None = None,
    no_timed: bool = False,
    written_material: bool | date = False,
) -> StageAnswer:
    """Say where a pupil stands on one skill.

    Parameters
    ----------
    observations : iterable of Observation, shape (n,)
        Attempts of one pupil on one skill; only those written at school enter.
    mark : Mark or None
        None when the skill has no mark; it is then never secure.
    rules : Rules
    secure_on, kept_on : date or None
        As recorded earlier under the mark of that time; a later mark or score never undoes them.
    no_timed : bool
        The pupil takes no timed checks: learning until pooled accuracy is at the mark and the work is written.
    written_material : bool or date
        Whether the work without things and drawings was recorded, or since when. Only used with ``no_timed``.

    Returns
    -------
    StageAnswer

    Raises
    ------
    Nothing

    Source
    ------
    Accuracy before speed: [instructional-hierarchy]; the rest [own]

    Examples
    --------
    >>> mark = Mark(0.95, 20, "common-practice", 1, date(2026, 8, 1))
    >>> seen = [Observation(date(2026, 9, day), 2, 36, 1, 0, 120) for day in (1, 8, 15)]
    >>> answer = stage(seen, mark)
    >>> answer.stage, answer.last_rate, round(answer.pooled_accuracy, 3), answer.missing[0].code
    ('quicker', 18.0, 0.973, 'rate')
    """
    written = school_written(observations)
    held = _NO_MARK if mark is None else replace(mark, rate=None) if no_timed else mark
    pools = Pools(held, rules)
    for seen in written:
        pools.add(seen)
    if mark is not None and secure_on is None:
        secure_on = _secure_since(written, held, material=written_material if no_timed else True, rules=rules)
    if mark is not None and secure_on is not None and kept_on is None and written:
        kept_on = kept(written, held, secure_on, on=written[-1].on, rules=rules).kept_on
    answer = pools.answer()
    counted = [seen for seen in written if seen.counts_for_rate or seen.counts_for_accuracy]
    missing = () if secure_on else _missing(answer, mark, needs_written=no_timed and not written_material)
    return StageAnswer(
        stage=_stage_code(len(counted), answer.pooled_accuracy, (secure_on, kept_on), no_timed=no_timed, rules=rules),
        checks=len(counted),
        timed_checks=answer.checks,
        last_rate=pools.rates[-1] if pools.rates else None,
        mean_rate=answer.mean_rate,
        rate_needed=answer.rate_needed,
        last_accuracy=pools.last_accuracy(),
        pooled_accuracy=answer.pooled_accuracy,
        chance_at_mark=answer.chance,
        secure_on=secure_on,
        kept_on=kept_on,
        missing=missing,
    )


def _secure_since(written: Sequence[Observation], mark: Mark, *, material: bool | date, rules: Rules) -> date | None:
    if material is False:
        return None
    since = material if isinstance(material, date) else None
    if since is not None and since >= mark.valid_from and _secure_before(written, mark, since, rules=rules):
        return since
    # A mark judges checks from its first day on, though earlier ones are pooled with them.
    first = first_secure(written, mark, rules=rules, not_before=max(since or mark.valid_from, mark.valid_from))
    return first.on if first else None


def _secure_before(written: Sequence[Observation], mark: Mark, day: date, *, rules: Rules) -> bool:
    pools = Pools(mark, rules)
    for seen in written:
        if seen.on < day:
            pools.add(seen)
    return pools.met()


def _missing(answer: SecureAnswer, mark: Mark | None, *, needs_written: bool) -> tuple[Missing, ...]:
    if mark is None:
        return ()
    return (*answer.missing, Missing("written-material", 0, 1)) if needs_written else answer.missing


def _stage_code(
    checks: int, pooled: float | None, dates: tuple[date | None, date | None], *, no_timed: bool, rules: Rules
) -> str:
    secure_on, kept_on = dates
    if kept_on is not None:
        return KEPT
    if secure_on is not None:
        return SECURE
    if checks < rules.few_checks:
        return FEW if checks else NOT_STARTED
    gated = pooled is not None and pooled >= rules.accuracy_gate
    return QUICKER if gated and not no_timed else LEARNING
