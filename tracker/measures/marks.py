"""Working marks: which one holds for a pupil on a day, whether it is met, and a published range by analogy."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

COMMON_PRACTICE = "common-practice"
BURNS_2006 = "burns-2006"

# The rate ends of the instructional range by grade [digits correct a minute]; seen in the abstract.
_INSTRUCTIONAL = {2: (14.0, 31.0), 3: (14.0, 31.0), 4: (24.0, 49.0), 5: (24.0, 49.0)}
_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Mark:
    """The working mark of a skill: what counts as quick and right enough to build on.

    Parameters
    ----------
    accuracy : float
        Above 0, at most 1 [share].
    rate : float or None
        [digits correct a minute]; None when the skill has no mark for speed.
    source : str
        Key of the source, e.g. ``COMMON_PRACTICE`` (no source, provisional) or ``BURNS_2006`` (by analogy).
    version : int
        Grows with every new row of a school and skill.
    valid_from : date
    grade : int or None
        None when it holds for every grade.
    for_pupil : bool
        Set for one pupil by a named person.
    is_default : bool
        Came with the product; any mark of the school's own goes before it.

    Raises
    ------
    ValueError
        When accuracy is not a share above zero or the rate is not above zero.

    Source
    ------
    [own]; each mark names its own source.

    Examples
    --------
    >>> Mark(0.95, 20, COMMON_PRACTICE, 1, date(2026, 8, 1)).rate
    20
    """

    accuracy: float
    rate: float | None
    source: str
    version: int
    valid_from: date
    grade: int | None = None
    for_pupil: bool = False
    is_default: bool = False

    def __post_init__(self) -> None:
        if not 0 < self.accuracy <= 1:
            raise ValueError(f"A mark's accuracy is a share above 0 and at most 1; got {self.accuracy}.")
        if self.rate is not None and not 0 < self.rate < math.inf:
            raise ValueError(f"A mark's rate is above 0, or None; got {self.rate}.")


def choose_mark(candidates: Iterable[Mark], *, on: date, grade: int | None) -> Mark | None:
    """Choose the mark that holds for one pupil on a day.

    Parameters
    ----------
    candidates : iterable of Mark, shape (n,)
        All marks of one skill that may concern the pupil.
    on : date
    grade : int or None
        The pupil's grade on that day.

    Returns
    -------
    Mark or None
        Pupil before skill and grade before skill before default; within one of them the latest that is valid, then
        the highest version. None when none is valid yet.

    Raises
    ------
    Nothing

    Source
    ------
    [own]

    Examples
    --------
    >>> skill = Mark(0.95, 20, "school", 2, date(2026, 8, 1))
    >>> third = Mark(0.95, 24, "school", 1, date(2026, 8, 1), grade=3)
    >>> choose_mark([skill, third], on=date(2026, 9, 1), grade=3).rate
    24
    >>> choose_mark([skill, third], on=date(2026, 7, 1), grade=3) is None
    True
    """
    valid = [mark for mark in candidates if mark.valid_from <= on and _concerns(mark, grade)]
    return max(valid, key=lambda mark: (_precedence(mark), mark.valid_from, mark.version), default=None)


def _concerns(mark: Mark, grade: int | None) -> bool:
    return mark.for_pupil or mark.grade is None or mark.grade == grade


def _precedence(mark: Mark) -> int:
    if mark.for_pupil:
        return 3
    if mark.is_default:
        return 0
    return 2 if mark.grade is not None else 1


def reaches(value: float, bound: float, *, exactly: str = "at") -> bool:
    """Say whether a value reaches a bound, with the school's choice for a value exactly on it.

    Parameters
    ----------
    value, bound : float
        In one unit [any]; a difference below 1e-9 is "exactly on it".
    exactly : str
        "at": on the bound counts as reached; "below": it does not.

    Returns
    -------
    bool
        False when the value is NaN.

    Raises
    ------
    Nothing

    Source
    ------
    [own]: sources are silent on a point exactly on the line.

    Examples
    --------
    >>> reaches(20, 20), reaches(20, 20, exactly="below")
    (True, False)
    """
    return value >= bound - _CLOSE if exactly == "at" else value > bound + _CLOSE


def at_mark(rate: float | None, accuracy: float | None, mark: Mark, *, exactly: str = "at") -> bool:
    """Say whether one check met the mark in both accuracy and rate.

    Parameters
    ----------
    rate : float or None
        [digits correct a minute]; None never meets a mark that has a rate.
    accuracy : float or None
        Share, 0 to 1 [share]; None or NaN (nothing written) never meets a mark.
    mark : Mark
    exactly : str
        As in ``reaches``.

    Returns
    -------
    bool

    Raises
    ------
    Nothing

    Source
    ------
    [instructional-hierarchy]: accuracy before speed.

    Examples
    --------
    >>> mark = Mark(0.95, 20, COMMON_PRACTICE, 1, date(2026, 8, 1))
    >>> at_mark(20, 0.95, mark), at_mark(26, 0.90, mark), at_mark(None, 1.0, mark)
    (True, False, False)
    """
    if accuracy is None or not reaches(accuracy, mark.accuracy, exactly=exactly):
        return False
    return mark.rate is None or (rate is not None and reaches(rate, mark.rate, exactly=exactly))


def instructional_range(grade: int) -> tuple[float, float] | None:
    """Give the published range of rates in which teaching on mixed sheets fits, by analogy.

    Parameters
    ----------
    grade : int

    Returns
    -------
    tuple of (float, float) or None
        Both ends belong to the range [digits correct a minute]; None outside grades 2 to 5, which were not studied.

    Raises
    ------
    Nothing

    Source
    ------
    [burns-2006]: multi-skill sheets, grades 2 to 5.

    Examples
    --------
    >>> instructional_range(3), instructional_range(1)
    ((14.0, 31.0), None)
    """
    return _INSTRUCTIONAL.get(grade)


def place(rate: float, grade: int) -> str | None:
    """Say where a rate on a mixed sheet lies against the published range.

    Parameters
    ----------
    rate : float
        [digits correct a minute]
    grade : int

    Returns
    -------
    str or None
        "below", "within" (both ends included) or "above"; None outside grades 2 to 5.

    Raises
    ------
    ValueError
        When the rate is negative or NaN.

    Source
    ------
    [burns-2006]

    Examples
    --------
    >>> place(13, 3), place(31, 3), place(32, 3), place(50, 4)
    ('below', 'within', 'above', 'above')
    """
    if not rate >= 0:
        raise ValueError(f"A rate is zero or more digits a minute; got {rate}.")
    ends = instructional_range(grade)
    if ends is None:
        return None
    if rate < ends[0]:
        return "below"
    return "within" if rate <= ends[1] else "above"
