"""What stands at each position of a timed sheet: the item plan of every skill, as data."""

from dataclasses import dataclass, field

from tracker.measures.problems import Problem
from tracker.measures.sheets.stream import Stream

LETTERS = {"d": "123456789", "f": "23456789", "a": "0123456789"}
ATTEMPTS = 20_000


@dataclass(frozen=True)
class ItemKind:
    """One kind of item: how its digits are drawn and what the sum must be like.

    Parameters
    ----------
    operation : str
        As in Problem.
    top, bottom : str
        One letter a digit: d is 1 to 9, f is 2 to 9, a is 0 to 9, a numeral stands for itself. For '/' the quotient and
        the divisor.
    digits : int
        Digits of the key, the same on every form. [digits]
    places : tuple of int or None
        Which columns are regrouped, 0 being ones; None: any. [place]
    zeros : int
        Zeros crossed. [zeros]
    unknown : str
        As in Problem.
    result : int or None
        What stands after the equals sign, where it is fixed. [count]
    result_digits : int or None
        Its digits, where the key is another number. [digits]
    fair : bool
        In subtraction: no column whose bottom digit is 5 more than its top digit, since there taking the smaller from
        the larger digit gives the right one.

    Raises
    ------
    Nothing.

    Source
    ------
    [trade-five-apart] [own]

    Examples
    --------
    >>> kind = ItemKind("-", "dd", "dd", digits=2, places=(0,))
    >>> kind.fits(Problem("-", 63, 27)), kind.fits(Problem("-", 61, 26)), kind.fits(Problem("-", 67, 23))
    (True, False, False)
    """

    operation: str
    top: str
    bottom: str
    digits: int = field(kw_only=True)
    places: tuple[int, ...] | None = field(default=None, kw_only=True)
    zeros: int = field(default=0, kw_only=True)
    unknown: str = field(default="answer", kw_only=True)
    result: int | None = field(default=None, kw_only=True)
    result_digits: int | None = field(default=None, kw_only=True)
    fair: bool = field(default=True, kw_only=True)

    def draw(self, stream: Stream, *, avoid: tuple[Problem, ...] = ()) -> Problem:
        """Draw an item of this kind that is none of those to avoid."""
        for _ in range(ATTEMPTS):
            item = self._candidate(stream)
            if item is not None and item not in avoid and self.fits(item):
                return item
        raise RuntimeError(f"no item of the kind {self} was found")

    def fits(self, item: Problem) -> bool:
        """Whether a sum is of this kind, its digit pattern aside."""
        return (
            item.digits_possible == self.digits
            and self.result in (None, item.result)
            and self.result_digits in (None, len(str(item.result)))
            and self.places in (None, item.regrouped_places)
            and item.zeros_crossed == self.zeros
            and not (self.fair and item.operation == "-" and _five_apart(item))
        )

    def _candidate(self, stream: Stream) -> Problem | None:
        first, second = _number(self.top, stream), _number(self.bottom, stream)
        if self.operation == "/":
            first *= second
        if self.operation == "-" and second > first:
            return None
        return Problem(self.operation, first, second, unknown=self.unknown)


def _number(pattern: str, stream: Stream) -> int:
    return int("".join(stream.pick(LETTERS.get(letter, letter)) for letter in pattern))


def _five_apart(item: Problem) -> bool:
    pairs = zip(reversed(str(item.top)), reversed(str(item.bottom)), strict=False)
    return any(int(lower) - int(upper) == 5 for upper, lower in pairs)


def _two_digit_missing(operation: str, unknown: str, places: tuple[int, ...]) -> ItemKind:
    return ItemKind(operation, "dd", "dd", digits=2, result_digits=2, places=places, unknown=unknown)


ONES, TENS, BOTH, NONE = (0,), (1,), (0, 1), ()

_SUM_TO_9 = ItemKind("+", "d", "d", digits=1)
_SUM_10 = ItemKind("+", "d", "d", digits=2, result=10)
_SUM_TO_18 = ItemKind("+", "d", "d", digits=2, places=ONES)
_FROM_9 = ItemKind("-", "d", "d", digits=1, fair=False)
_FROM_10 = ItemKind("-", "10", "d", digits=1, fair=False, places=ONES)
_FROM_18 = ItemKind("-", "1a", "d", digits=1, fair=False, places=ONES)
_FROM_TEEN_PLAIN = ItemKind("-", "1d", "d", digits=2, places=NONE)
_TABLES = ItemKind("x", "f", "f", digits=2)
_SMALL_TABLES = ItemKind("x", "d", "d", digits=1)
_ADD_3D = {places: ItemKind("+", "ddd", "ddd", digits=3, places=places) for places in (NONE, ONES, TENS, BOTH)}
_SUB_3D = {places: ItemKind("-", "ddd", "ddd", digits=3, places=places) for places in (NONE, ONES, TENS, BOTH)}
_ONE_ZERO = ItemKind("-", "d0d", "ddd", digits=3, places=ONES, zeros=1)
_TWO_ZEROS = ItemKind("-", "d00", "ddd", digits=3, places=ONES, zeros=1)

# One entry a position, taken again from the start until the sheet is long enough.
KINDS: dict[str, tuple[ItemKind, ...]] = {
    "add-facts-10": (_SUM_TO_9,) * 5 + (_SUM_10,),
    "sub-facts-10": (_FROM_9,) * 5 + (_FROM_10,),
    "add-facts-20": (_SUM_TO_18,) * 5 + (_SUM_TO_9,),
    "sub-facts-20": (_FROM_18,) * 5 + (_FROM_TEEN_PLAIN,),
    "add-tens": (ItemKind("+", "d0", "d0", digits=2),),
    "sub-tens": (ItemKind("-", "d0", "d0", digits=2),),
    "add-2d1d-plain": (ItemKind("+", "dd", "d", digits=2, places=NONE),),
    "add-2d1d-regroup": (ItemKind("+", "dd", "d", digits=2, places=ONES),),
    "sub-2d1d-plain": (ItemKind("-", "dd", "d", digits=2, places=NONE),),
    "sub-2d1d-regroup": (ItemKind("-", "dd", "d", digits=2, places=ONES),),
    "add-2d-plain": (ItemKind("+", "dd", "dd", digits=2, places=NONE),),
    "add-2d-regroup": (ItemKind("+", "dd", "dd", digits=2, places=ONES),),
    "sub-2d-plain": (ItemKind("-", "dd", "dd", digits=2, places=NONE),),
    "sub-2d-regroup": (ItemKind("-", "dd", "dd", digits=2, places=ONES),),
    "add-3d-plain": (_ADD_3D[NONE],),
    "add-3d-regroup": (_ADD_3D[ONES], _ADD_3D[TENS], _ADD_3D[BOTH]),
    "sub-3d-plain": (_SUB_3D[NONE],),
    "sub-3d-regroup": (_SUB_3D[ONES], _SUB_3D[TENS], _SUB_3D[BOTH]),
    "sub-3d-zeros": (_ONE_ZERO, _ONE_ZERO, _TWO_ZEROS),
    "missing-20": (
        ItemKind("+", "d", "d", digits=1, places=ONES, unknown="bottom"),
        ItemKind("-", "1a", "d", digits=1, result_digits=1, places=ONES, unknown="bottom", fair=False),
        ItemKind("+", "d", "d", digits=1, places=ONES, unknown="top"),
        ItemKind("-", "1a", "d", digits=2, result_digits=1, places=ONES, unknown="top", fair=False),
    ),
    "missing-100": (
        _two_digit_missing("+", "bottom", NONE),
        _two_digit_missing("-", "bottom", NONE),
        _two_digit_missing("+", "top", ONES),
        _two_digit_missing("-", "top", NONE),
        _two_digit_missing("+", "bottom", ONES),
        _two_digit_missing("-", "bottom", ONES),
        _two_digit_missing("+", "top", NONE),
        _two_digit_missing("-", "top", ONES),
    ),
    "times-2-5-10": (
        ItemKind("x", "f", "5", digits=2),
        ItemKind("x", "f", "2", digits=2),
        ItemKind("x", "f", "10", digits=2),
        ItemKind("x", "5", "f", digits=2),
        ItemKind("x", "2", "d", digits=1),
        ItemKind("x", "10", "f", digits=2),
    ),
    "times-all": (_TABLES,) * 5 + (_SMALL_TABLES,),
    "divide-all": (ItemKind("/", "f", "f", digits=1),),
    "times-2d1d": (
        ItemKind("x", "dd", "f", digits=3),
        ItemKind("x", "dd", "f", digits=3),
        ItemKind("x", "dd", "f", digits=2),
    ),
    "copying": (ItemKind("copy", "daa", "0", digits=3),),
}

# Mixed sheets: which skill stands at which position; each takes its own kinds in turn.
MIXED: dict[str, tuple[str, ...]] = {
    "mixed-2d": (
        *("add-2d-regroup", "sub-2d-regroup", "add-2d-plain"),
        *("sub-2d-regroup", "add-2d-regroup", "sub-2d-plain"),
    ),
    "year-1": (
        *("add-facts-10", "sub-facts-10", "add-facts-20", "add-tens", "sub-facts-10", "add-facts-10"),
        *("sub-facts-20", "add-facts-20", "add-2d1d-plain", "sub-facts-10", "add-facts-10", "missing-20"),
    ),
    "year-2": (
        *("add-facts-20", "sub-facts-20", "add-2d1d-plain", "add-2d-plain", "sub-2d1d-plain", "sub-2d-plain"),
        *("add-2d1d-regroup", "sub-2d1d-regroup", "add-2d-regroup", "missing-20", "sub-2d-regroup", "sub-facts-20"),
    ),
    "year-3": (
        *("add-2d-regroup", "sub-2d-regroup", "times-2-5-10", "add-3d-plain", "sub-3d-plain", "times-all"),
        *("sub-2d-regroup", "add-3d-regroup", "divide-all", "sub-3d-regroup", "missing-100", "times-all"),
    ),
    "year-4": (
        *("add-3d-regroup", "times-all", "sub-3d-regroup", "divide-all", "times-2d1d", "sub-3d-zeros"),
        *("times-all", "add-3d-regroup", "missing-100", "times-2d1d", "divide-all", "sub-3d-regroup"),
    ),
    "year-5": (
        *("times-2d1d", "add-3d-regroup", "divide-all", "sub-3d-zeros", "times-2d1d", "times-all"),
        *("sub-3d-regroup", "times-2d1d", "divide-all", "add-3d-regroup", "times-2d1d", "sub-3d-zeros"),
    ),
}
