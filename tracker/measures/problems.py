"""One written sum: its key, and how much regrouping it asks for."""

from dataclasses import dataclass, field
from numbers import Integral
from typing import NamedTuple

OPERATIONS = ("+", "-", "x", "/", "copy")
UNKNOWNS = ("answer", "top", "bottom")


class Load(NamedTuple):
    """How much regrouping a sum asks for.

    Parameters
    ----------
    places : tuple of int
        Places of the columns that can't be worked as printed: 0 ones, 1 tens and so on, as they are met. [place]
    trades : int
        Single exchanges of one for ten or of ten for one. [exchanges]
    zeros_crossed : int
        Zeros that a trade must pass on its way to a column. [zeros]

    Raises
    ------
    Nothing.

    Source
    ------
    [own]

    Examples
    --------
    >>> Load((0,), 2, 1).trades
    2
    """

    places: tuple[int, ...]
    trades: int
    zeros_crossed: int


NO_LOAD = Load((), 0, 0)


@dataclass(frozen=True)
class Problem:
    """One sum as printed, with the number that the pupil is to write.

    Parameters
    ----------
    operation : str
        '+', '-', 'x' or '/'; 'copy' for an item of a copying sheet (top is the number to copy, bottom 0).
    top, bottom : int
        The two numbers, zero or more; for '/' the number shared out and the number of shares. [count]
    unknown : str
        Which number is left out for the pupil to write: 'answer', 'top' or 'bottom'.

    Raises
    ------
    ValueError
        If the operation or unknown is none of these, a number is no whole number of zero or more, a difference would
        be negative, a division leaves a remainder or is by zero, or the unknown number could be any number.

    Notes
    -----
    What counts as regrouping (written methods, working in columns from the right; division from the left):

    - '-' by decomposition: a column is regrouped when its top digit, after it has paid for the column to its right, is
      smaller than the bottom digit. One trade turns 1 of a place into 10 of the next. A zero on the way is crossed and
      costs one more trade, so trades = regrouped columns + zeros crossed.
    - '+': a column is regrouped when its sum, with what was carried in, is ten or more, the leftmost column included
      (so 7 + 5 counts: it makes a ten). One trade each.
    - 'x': counted over every partial product and, when there are several, over adding them up. A column is regrouped
      when its product with what was carried in is ten or more; a carried 3 is three trades.
    - '/': a place is regrouped when something left over from it is passed on to the place to its right; a remainder
      of 3 is three trades.

    A missing number does not change the count: it belongs to the full sum.

    Source
    ------
    [own] [trade-two-digit-share]

    Examples
    --------
    >>> Problem("-", 604, 238).answer
    366
    >>> sum_ = Problem("-", 604, 238)
    >>> sum_.regrouped_columns, sum_.trades, sum_.zeros_crossed
    (1, 2, 1)
    >>> Problem("+", 9, 6, unknown="bottom").answer
    6
    """

    operation: str
    top: int
    bottom: int
    unknown: str = field(default="answer", kw_only=True)

    def __post_init__(self) -> None:
        if self.operation not in OPERATIONS:
            raise ValueError(f"operation must be one of {', '.join(OPERATIONS)}, not {self.operation!r}")
        if self.unknown not in UNKNOWNS:
            raise ValueError(f"unknown must be one of {', '.join(UNKNOWNS)}, not {self.unknown!r}")
        object.__setattr__(self, "top", _whole(self.top))
        object.__setattr__(self, "bottom", _whole(self.bottom))
        self._refuse_impossible()

    def _refuse_impossible(self) -> None:
        operation, top, bottom = self.operation, self.top, self.bottom
        if operation == "-" and bottom > top:
            raise ValueError(f"{top} - {bottom} is less than zero")
        if operation == "/" and bottom == 0:
            raise ValueError(f"{top} can't be divided by zero")
        if operation == "/" and top % bottom:
            raise ValueError(f"{top} / {bottom} leaves a remainder")
        if operation == "copy" and (bottom != 0 or self.unknown != "answer"):
            raise ValueError("a number to copy stands alone: bottom 0, unknown 'answer'")
        lost = (operation == "x" and {"top": bottom, "bottom": top}.get(self.unknown) == 0) or (
            operation == "/" and self.unknown == "bottom" and top == 0
        )
        if lost:
            raise ValueError(f"the missing number of {top} {operation} {bottom} could be any number")

    @property
    def result(self) -> int:
        """What stands after the equals sign."""
        match self.operation:
            case "+":
                return self.top + self.bottom
            case "-":
                return self.top - self.bottom
            case "x":
                return self.top * self.bottom
            case "/":
                return self.top // self.bottom
            case _:
                return self.top

    @property
    def answer(self) -> int:
        """The key: the number that the pupil is to write."""
        return {"answer": self.result, "top": self.top, "bottom": self.bottom}[self.unknown]

    @property
    def digits(self) -> tuple[int, ...]:
        """The digits of the key, left to right."""
        return tuple(int(digit) for digit in str(self.answer))

    @property
    def digits_possible(self) -> int:
        """How many digits the key has."""
        return len(str(self.answer))

    @property
    def load(self) -> Load:
        """Places, trades and zeros crossed at once."""
        match self.operation:
            case "+":
                return _carrying(self.top, self.bottom)
            case "-":
                return _decomposing(self.top, self.bottom)
            case "x":
                return _multiplying(self.top, self.bottom)
            case "/":
                return _sharing(self.top, self.bottom)
            case _:
                return NO_LOAD

    @property
    def regrouped_columns(self) -> int:
        """Columns that can't be worked as printed."""
        return len(self.load.places)

    @property
    def regrouped_places(self) -> tuple[int, ...]:
        """Places of the regrouped columns: 0 ones, 1 tens and so on."""
        return self.load.places

    @property
    def trades(self) -> int:
        """Single exchanges of one for ten or of ten for one."""
        return self.load.trades

    @property
    def zeros_crossed(self) -> int:
        """Zeros that a trade must pass on its way; only in subtraction."""
        return self.load.zeros_crossed

    @property
    def needs_regrouping(self) -> bool:
        """Whether any column must be regrouped."""
        return self.regrouped_columns > 0


def _whole(number: object) -> int:
    if isinstance(number, bool) or not isinstance(number, Integral) or number < 0:
        raise ValueError(f"a number in a sum must be a whole number of zero or more, not {number!r}")
    return int(number)


def _columns(number: int) -> list[int]:
    return [int(digit) for digit in reversed(str(number))]


def _decomposing(top: int, bottom: int) -> Load:
    upper, lower = _columns(top), _columns(bottom)
    places = []
    crossed = 0
    for place, digit in enumerate(lower):
        if upper[place] >= digit:
            continue
        places.append(place)
        payer = place + 1
        while upper[payer] == 0:
            upper[payer] = 9
            crossed += 1
            payer += 1
        upper[payer] -= 1
        upper[place] += 10
    return Load(tuple(places), len(places) + crossed, crossed)


def _carrying(*numbers: int) -> Load:
    width = len(str(max(numbers)))
    carries: list[int] = []
    for place in range(width):
        column = sum(number // 10**place % 10 for number in numbers)
        carries.append((column + (carries[-1] if carries else 0)) // 10)
    return _from_carries(carries)


def _from_carries(carries: list[int], shift: int = 0) -> Load:
    return Load(tuple(place + shift for place, carried in enumerate(carries) if carried), sum(carries), 0)


def _multiplying(top: int, bottom: int) -> Load:
    parts = [_by_one_digit(top, factor, shift) for shift, factor in enumerate(_columns(bottom))]
    if len(parts) > 1:
        parts.append(_carrying(*(top * factor * 10**shift for shift, factor in enumerate(_columns(bottom)))))
    places = tuple(place for part in parts for place in part.places)
    return Load(places, sum(part.trades for part in parts), 0)


def _by_one_digit(top: int, factor: int, shift: int) -> Load:
    carries: list[int] = []
    for digit in _columns(top):
        carries.append((digit * factor + (carries[-1] if carries else 0)) // 10)
    return _from_carries(carries, shift)


def _sharing(top: int, bottom: int) -> Load:
    digits = str(top)
    left_over: list[int] = []
    for digit in digits[:-1]:
        left_over.append(((left_over[-1] if left_over else 0) * 10 + int(digit)) % bottom)
    places = tuple(len(digits) - 1 - index for index, left in enumerate(left_over) if left)
    return Load(places, sum(left_over), 0)
