"""What a flag rests on, in numbers and dates that can be frozen with it."""

from dataclasses import dataclass, fields
from datetime import date


def plain(value: object) -> object:
    """Turn dates into ISO text and tuples into lists; leave the rest.

    Parameters
    ----------
    value : object

    Returns
    -------
    object
        Ready for JSON.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> plain((date(2026, 9, 8), 3))
    ['2026-09-08', 3]
    """
    if isinstance(value, date):
        return value.isoformat()
    return [plain(item) for item in value] if isinstance(value, tuple) else value


@dataclass(frozen=True, slots=True)
class Evidence:
    """The base of everything a flag rests on.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> Evidence().as_dict()
    {}
    """

    def as_dict(self) -> dict[str, object]:
        """Give the evidence as numbers, text, lists and ISO dates.

        Returns
        -------
        dict of str to object
            Field name to plain value.

        Raises
        ------
        Nothing

        Source
        ------
        [own]

        Examples
        --------
        >>> NoRecentCheck(last_on=date(2026, 9, 8), weeks=4).as_dict()
        {'last_on': '2026-09-08', 'weeks': 4}
        """
        return {item.name: plain(getattr(self, item.name)) for item in fields(self)}


@dataclass(frozen=True, slots=True)
class RegroupingGap(Evidence):
    """The step without regrouping is in hand, the same step with regrouping is not.

    Parameters
    ----------
    skill_accuracy, twin_accuracy : float
        Pooled [share].
    gap, low, high : float
        Twin minus skill and its interval [share].
    method : str
        How the interval was made.
    confidence : float
        Of the interval [share].
    skill_right, skill_total, twin_right, twin_total : int
        [digits]
    skill_dates, twin_dates : tuple of date

    Raises
    ------
    Nothing

    Source
    ------
    [own]; interval: [newcombe-1998]

    Examples
    --------
    >>> RegroupingGap(0.5, 0.95, 0.45, 0.3, 0.6, "m", 0.95, 20, 40, 38, 40, (), ()).as_dict()["gap"]
    0.45
    """

    skill_accuracy: float
    twin_accuracy: float
    gap: float
    low: float
    high: float
    method: str
    confidence: float
    skill_right: int
    skill_total: int
    twin_right: int
    twin_total: int
    skill_dates: tuple[date, ...]
    twin_dates: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class LowAccuracy(Evidence):
    """Accuracy stays low and does not rise.

    Parameters
    ----------
    accuracy, upper, before : float
        Of the last checks, its upper bound, and of the checks before [share].
    right, total : int
        Of the last checks [digits].
    dates : tuple of date
        Of the last checks.

    Raises
    ------
    Nothing

    Source
    ------
    [stall-accuracy]

    Examples
    --------
    >>> LowAccuracy(0.7, 0.78, 0.71, 70, 100, ()).as_dict()["upper"]
    0.78
    """

    accuracy: float
    upper: float
    before: float
    right: int
    total: int
    dates: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class NoRecentCheck(Evidence):
    """There was no attempt on the current skill for some school weeks.

    Parameters
    ----------
    last_on : date
        Of the last attempt, or the day the skill became the current one.
    weeks : int
        School weeks since.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> NoRecentCheck(date(2026, 9, 8), 3).weeks
    3
    """

    last_on: date
    weeks: int


@dataclass(frozen=True, slots=True)
class ClassWide(Evidence):
    """More of a class than not is below the accuracy gate on a skill.

    Parameters
    ----------
    below, known, pupils : int
        Pupils below the gate, with enough checks to say, and in the class.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> ClassWide(below=16, known=20, pupils=28).as_dict()
    {'below': 16, 'known': 20, 'pupils': 28}
    """

    below: int
    known: int
    pupils: int
