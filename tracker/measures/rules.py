"""Every threshold and every open choice of the measures, as one frozen set of named settings."""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any

MEASURES_VERSION = "1"


def _share(default: float, low: float = 0.0, high: float = 1.0) -> Any:
    return field(default=default, metadata={"kind": "number", "unit": "share", "low": low, "high": high})


def _number(default: float, unit: str, *, low: float, high: float) -> Any:
    return field(default=default, metadata={"kind": "number", "unit": unit, "low": low, "high": high})


def _whole(default: int, unit: str, *, low: int, high: int) -> Any:
    return field(default=default, metadata={"kind": "whole", "unit": unit, "low": low, "high": high})


def _choice(default: str, *others: str) -> Any:
    return field(default=default, metadata={"kind": "choice", "unit": "choice", "options": (default, *others)})


@dataclass(frozen=True, slots=True)
class Rules:
    """The settings under which a school's scores are read.

    Every field has a unit and a range (or its options) in its metadata. Digits mean digits correct.

    Raises
    ------
    ValueError
        When a value is of the wrong kind or outside its range; the message names the field and what is allowed.

    Source
    ------
    [own]; where a field comes from stands in the comment above it.

    Examples
    --------
    >>> Rules().accuracy_gate
    0.9
    >>> Rules.from_mapping({"secure_rule": "running", "running_checks": 3}).running_checks
    3
    """

    # Howell & Nolet 2000, from memory: about 90 % before speed is asked for.
    accuracy_gate: float = _share(0.90, 0.5, 1.0)
    # Own choice: accuracy and rate are read over the last three checks, since one check is too noisy.
    pool: int = _whole(3, "checks", low=1, high=12)
    # Own choice: below this many checks a stage stays in brackets.
    few_checks: int = _whole(3, "checks", low=1, high=12)
    # Own choice, simulated error rates in mastery_rates; "running" is common practice, no source.
    secure_rule: str = _choice("chance", "running")
    # Own choice: simulated, about 6 % pass at 90 % of the mark and 87 % at 110 %.
    chance_at_mark: float = _share(0.90, 0.5, 0.999)
    # Common practice, no source: two or three checks running.
    running_checks: int = _whole(2, "checks", low=1, high=12)
    # Open choice, sources silent: a value exactly on the mark counts as at the mark.
    exactly_on_mark: str = _choice("at", "below")
    # Open choice, sources silent: a missing week in a run neither counts nor breaks it.
    missing_in_run: str = _choice("skip", "break")
    # Open choice, sources differ: the day of becoming secure is that of the last check of the run.
    secure_event: str = _choice("last", "first")
    # Common practice, no source: a retention check about four weeks later.
    kept_after_days: int = _whole(28, "days", low=7, high=182)
    # Own choice: a small loss of speed after a pause is no loss of the skill.
    kept_rate_share: float = _share(0.80, 0.5, 1.0)
    # Own choice: a weak check just after a break says little.
    silent_after_break_days: int = _whole(14, "days", low=0, high=60)
    # Own choice: a shorter break (a long weekend) silences nothing.
    silent_break_length_days: int = _whole(5, "days", low=1, high=60)
    # Open choice, no source found: a leading zero earns nothing and costs nothing.
    leading_zeros: str = _choice("strip", "wrong")
    # Open choice, sources differ: digits left out within reach are no errors unless the school says so.
    skipped_digits: str = _choice("omitted", "wrong")
    # Simulated: spread of a pupil's rate from day to day, beyond the counting noise.
    day_variation: float = _share(0.12, 0.0, 0.5)
    # Simulated: spread between parallel forms.
    form_variation: float = _share(0.06, 0.0, 0.5)
    # Simulated: what the three sources above leave out (a hard form, a bad week).
    dispersion: float = _number(1.3, "factor on the variance", low=1.0, high=5.0)
    # Assumed from the literature on weekly digits (0.3 to 0.75 a week).
    growth_per_week: float = _number(0.5, "digits a minute a week", low=0.0, high=3.0)
    # Assumed: how far pupils differ in growth.
    growth_spread: float = _number(0.5, "digits a minute a week", low=0.0, high=3.0)
    # Own choice: growth is not carried further than this.
    growth_weeks: int = _whole(8, "weeks", low=0, high=52)
    # Simulated: after two missed weeks the level is less sure.
    missed_weeks: int = _whole(2, "weeks", low=1, high=12)
    # Simulated: by this much.
    missed_spread: float = _number(2.5, "digits a minute", low=0.0, high=20.0)
    # Own choice: an older check says nothing about what to expect now.
    stale_days: int = _whole(120, "days", low=14, high=366)
    # Own choice: beyond this many standard deviations the entry is asked about.
    doubt_sds: float = _number(3.0, "standard deviations", low=1.5, high=6.0)
    # Own choice: checks of the skill with regrouping before a gap is spoken of.
    gap_checks: int = _whole(3, "checks", low=1, high=12)
    # Own choice: the twin's checks count for six weeks.
    gap_twin_days: int = _whole(42, "days", low=7, high=182)
    # Simulated: the step without regrouping is in hand.
    gap_twin_accuracy: float = _share(0.85, 0.5, 1.0)
    # Simulated: the smallest gap worth a look.
    gap_points: float = _share(0.25, 0.05, 1.0)
    # Own choice: confidence of the interval that has to stay apart from zero.
    gap_confidence: float = _share(0.95, 0.5, 0.999)
    # Simulated: digits of one pupil err together, so shares vary more than single digits would.
    accuracy_dispersion: float = _number(1.6, "factor on the variance", low=1.0, high=5.0)
    # Simulated: accuracy stays low when the upper bound lies below this.
    low_accuracy: float = _share(0.88, 0.5, 1.0)
    # Simulated: over this many checks.
    low_accuracy_checks: int = _whole(4, "checks", low=2, high=12)
    # Simulated: and not before this many.
    low_accuracy_from: int = _whole(8, "checks", low=2, high=24)
    # Simulated: a rise of this much on the checks before silences it.
    low_accuracy_gain: float = _share(0.02, 0.0, 0.5)
    # Simulated: one-sided bound, 95 %.
    low_accuracy_sds: float = _number(1.64, "standard errors", low=0.0, high=4.0)
    # Own choice: school weeks without an attempt on the current skill.
    no_check_weeks: int = _whole(3, "school weeks", low=1, high=20)
    # Own choice: beyond this share below the gate, the class needs the skill taught.
    class_share: float = _share(0.50, 0.1, 1.0)
    # Own choice: fewer pupils than this are no class.
    class_pupils: int = _whole(6, "pupils", low=2, high=40)
    # Own choice: new checks before the same flag may rise again.
    rise_again_checks: int = _whole(8, "checks", low=1, high=40)
    # Own choice, after Howell & Nolet 2000 from memory: near the copying speed, writing limits the rate.
    copying_ceiling: float = _share(0.80, 0.5, 1.0)
    # Own choice: stopped this often in a row, talk with the child and use an untimed sheet.
    stopped_in_row: int = _whole(2, "checks", low=1, high=6)

    def __post_init__(self) -> None:
        for item in fields(self):
            _refuse_bad_value(item.name, getattr(self, item.name), item.metadata)

    @classmethod
    def from_mapping(cls, overrides: Mapping[str, object]) -> "Rules":
        """Read a school's own settings; what is not named keeps its default.

        Parameters
        ----------
        overrides : mapping of str to int, float or str
            Field name to value, in the field's own unit.

        Returns
        -------
        Rules

        Raises
        ------
        ValueError
            When a name is unknown or a value is not allowed; the message says which and what is allowed.

        Source
        ------
        [own]

        Examples
        --------
        >>> Rules.from_mapping({"pool": 0})
        Traceback (most recent call last):
        ...
        ValueError: pool is 0, but allowed is a whole number from 1 to 12 [checks].
        """
        known = [item.name for item in fields(cls)]
        for name in overrides:
            if name not in known:
                raise ValueError(f"{name} is no rule; allowed are {', '.join(known)}.")
        values: dict[str, Any] = dict(overrides)
        return cls(**values)

    def as_mapping(self) -> dict[str, float | int | str]:
        """Give every setting under its name, ready for JSON.

        Parameters
        ----------
        self : Rules

        Returns
        -------
        dict of str to float, int or str
            ``Rules.from_mapping`` of it gives equal rules.

        Raises
        ------
        Nothing

        Source
        ------
        [own]

        Examples
        --------
        >>> Rules.from_mapping(Rules().as_mapping()) == Rules()
        True
        """
        return asdict(self)


def _refuse_bad_value(name: str, value: object, allowed: Mapping[str, Any]) -> None:
    if allowed["kind"] == "choice":
        good = value in allowed["options"]
        words = " or ".join(allowed["options"])
    else:
        good = _is_number(value, whole=allowed["kind"] == "whole") and allowed["low"] <= value <= allowed["high"]
        kind = "whole number" if allowed["kind"] == "whole" else "number"
        words = f"a {kind} from {allowed['low']} to {allowed['high']} [{allowed['unit']}]"
    if not good:
        raise ValueError(f"{name} is {value!r}, but allowed is {words}.")


def _is_number(value: object, *, whole: bool) -> bool:
    if isinstance(value, bool) or not isinstance(value, int if whole else (int, float)):
        return False
    return math.isfinite(value)


DEFAULT_RULES = Rules()
