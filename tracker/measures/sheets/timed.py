"""Timed sheets: the same skill, form and seed always give the same items."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate, cycle, islice

from tracker.measures import ladder
from tracker.measures.problems import Problem
from tracker.measures.sheets.plans import KINDS, MIXED, ItemKind
from tracker.measures.sheets.stream import Stream

GENERATOR_VERSION = "plain-1"
ROOM = 1.3
SPREAD = 5
FACT_ROW, ROW = 10, 6
FACT_SKILLS = frozenset(
    {"add-facts-10", "sub-facts-10", "add-facts-20", "sub-facts-20", "times-2-5-10", "times-all", "divide-all"}
)
# Length where the ladder has no mark, in digits a minute: a guess on the long side, no source.
LENGTH_WITHOUT_MARK = {"year-1": 31, "copying": 100}


@dataclass(frozen=True)
class TimedSheet:
    """One form of a timed sheet.

    Parameters
    ----------
    skill_key : str
        The skill.
    form : int
        Number of the form, from 1. [form]
    seed : int
        Seed of the school's own series of forms; 0 is the ordinary one. [seed]
    minutes : float
        Usual working time. [min]
    problems : tuple of Problem
        The items in print order, row by row. A copying sheet holds items of the operation 'copy'.
    item_skills : tuple of str
        The skill that each item belongs to; on a mixed sheet not that of the sheet.
    items_per_row : int
        Items in a printed row; every row is full. [items]
    generator_version : str
        Version of plan and generator; stored with the items.

    Raises
    ------
    Nothing.

    Source
    ------
    [own]

    Examples
    --------
    >>> sheet = timed_sheet("sub-2d-regroup", 1)
    >>> sheet.running_digits[:3], len(sheet.problems) % sheet.items_per_row
    ((2, 4, 6), 0)
    """

    skill_key: str
    form: int
    seed: int
    minutes: float
    problems: tuple[Problem, ...]
    item_skills: tuple[str, ...]
    items_per_row: int
    generator_version: str = GENERATOR_VERSION

    @property
    def running_digits(self) -> tuple[int, ...]:
        """Digits of the key up to and with each item, as printed on the key."""
        return tuple(accumulate(problem.digits_possible for problem in self.problems))

    @property
    def digits_possible(self) -> int:
        """Digits of the whole key."""
        return self.running_digits[-1]

    @property
    def digest(self) -> str:
        """A fingerprint of the items in their order: sixty-four hexadecimal characters."""
        lines = (f"{item.operation} {item.top} {item.bottom} {item.unknown}" for item in self.problems)
        return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def timed_sheet(
    skill_key: str, form: int, *, seed: int = 0, mark_rate: float | None = None, seconds: float | None = None
) -> TimedSheet:
    """One form of the timed sheet of a skill, long enough that nobody runs out of items.

    Parameters
    ----------
    skill_key : str
        A key of the ladder.
    form : int
        Number of the form, from 1. [form]
    seed : int
        Seed of a series of forms, zero or more. [seed]
    mark_rate : float or None
        The school's mark where it is not the ladder's; only the length of the sheet depends on it. [digits/min]
    seconds : float or None
        The time allowed where it is not the ladder's; only the length of the sheet depends on it. [s]

    Returns
    -------
    TimedSheet
        At least 1.3 x mark x minutes digits, in whole rows; no item equals one of the five before it.

    Raises
    ------
    ValueError
        If the skill is unknown, the form is below 1, the seed is negative, or a mark or time is not above zero.

    Notes
    -----
    Items are drawn at random within a fixed plan of positions, so every form has the same digits possible and the same
    regrouping at each position. Whether forms are equally hard is not measured here.

    Source
    ------
    [christ-vining-2006] [own]

    Examples
    --------
    >>> timed_sheet("add-tens", 1).digits_possible
    84
    >>> timed_sheet("add-tens", 1) == timed_sheet("add-tens", 1)
    True
    >>> timed_sheet("add-tens", 1).digest == timed_sheet("add-tens", 2).digest
    False
    """
    step = ladder.step(skill_key)
    if form < 1 or seed < 0:
        raise ValueError(f"a form counts from 1 and a seed from 0, not form {form}, seed {seed}")
    usual_rate = step.default_mark_rate or LENGTH_WITHOUT_MARK[skill_key]
    rate = usual_rate if mark_rate is None else mark_rate
    time = step.default_seconds if seconds is None else seconds
    if rate <= 0 or time <= 0:
        raise ValueError(f"mark and time must be above zero, not {rate:g} digits a minute and {time:g} s")
    row = FACT_ROW if skill_key in FACT_SKILLS else ROW
    stream = Stream("timed sheet", GENERATOR_VERSION, skill_key, form, seed)
    items = _fill_rows(skill_key, stream, digits=ROOM * rate * time / 60, row=row)
    keys, problems = zip(*items, strict=True)
    return TimedSheet(skill_key, form, seed, time / 60, problems, keys, row)


def _fill_rows(skill_key: str, stream: Stream, *, digits: float, row: int) -> list[tuple[str, Problem]]:
    """Items with the skill of each, row by row until there are digits enough."""
    items: list[tuple[str, Problem]] = []
    positions = _positions(skill_key)
    while sum(problem.digits_possible for _, problem in items) < digits:
        for key, kind in islice(positions, row):
            recent = tuple(problem for _, problem in items[-SPREAD:])
            items.append((key, kind.draw(stream, avoid=recent)))
    return items


def _positions(skill_key: str) -> Iterator[tuple[str, ItemKind]]:
    plan = MIXED.get(skill_key, (skill_key,))
    kinds = {key: cycle(KINDS[key]) for key in plan}
    return ((key, next(kinds[key])) for key in cycle(plan))
