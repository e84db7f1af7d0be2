"""Where labels stand so that none covers another."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

Anchor = Literal["start", "middle", "end"]
ROWS = 3
MOST_SEARCHED = 5
GAP = 8.0
ADVANCES = {0.33: "ijl.,:;'!| ", 0.43: "frt()-/", 0.53: "ceksvxyzIJ", 0.69: "ACDGHKNOQRUVXY%", 0.9: "mwMW@"}
ADVANCE_OF = {sign: width for width, signs in ADVANCES.items() for sign in signs}
OTHER = 0.6


@dataclass(frozen=True, slots=True)
class Flag:
    """A label that wants a place above the plot, at `at` pixels; a stem joins it to the plot."""

    at: float
    text: str
    stem: bool


@dataclass(frozen=True, slots=True)
class Placed:
    """A flag with its row (0 is nearest to the plot) and the side on which its text lies."""

    flag: Flag
    row: int
    anchor: Anchor
    start: float
    end: float


def text_width(text: str, size: float) -> float:
    """Estimated width in pixels, a little generous (Andika's own advance widths, in classes).

    >>> round(text_width("mark 30", 13))
    52
    """
    return size * sum(ADVANCE_OF.get(sign, OTHER) for sign in text)


def wrapped(text: str, size: float, room: float) -> tuple[str, ...]:
    """Lines of about the same length, no wider than `room` where words allow it.

    >>> wrapped("expected 0.75 a week", 13, 104)
    ('expected', '0.75 a week')
    """
    lines = _filled(text, size, room)
    narrower = room
    while narrower > 0 and len(_filled(text, size, narrower)) == len(lines):
        lines, narrower = _filled(text, size, narrower), narrower - size / 2
    return lines


def _filled(text: str, size: float, room: float) -> tuple[str, ...]:
    lines: list[str] = []
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size) <= room:
            lines[-1] = joined
        else:
            lines.append(word)
    return tuple(lines)


def place_flags(flags: Sequence[Flag], *, size: float, left: float, right: float) -> tuple[Placed, ...] | None:
    """The lowest rows for all flags between `left` and `right`, or None where the words don't fit.

    >>> placed = place_flags((Flag(50, "blocks", True), Flag(60, "drawn", True)), size=13, left=0, right=300)
    >>> [(item.flag.text, item.row, item.anchor) for item in placed or ()]
    [('blocks', 0, 'end'), ('drawn', 0, 'start')]
    """
    if len(flags) > MOST_SEARCHED:
        return None
    inside = (
        tuple(option for option in _tries(flag, size) if left <= option.start and option.end <= right) for flag in flags
    )
    return _cheapest(_Search(), tuple(inside), ())


def stacked(flags: Sequence[Flag], *, size: float) -> tuple[Placed, ...]:
    """Short flags in the first free row, the last resort: rows may run out, order never does.

    >>> [item.row for item in stacked((Flag(50, "1", True), Flag(55, "2", True)), size=13)]
    [0, 1]
    """
    placed: list[Placed] = []
    for flag in flags:
        options = list(_options(flag, size, "start" if flag.stem else "middle"))
        free = (option for option in options if not any(_overlap(option, other) for other in placed))
        placed.append(next(free, options[-1]))
    return tuple(placed)


@dataclass(slots=True)
class _Search:
    """The best arrangement so far."""

    best: tuple[Placed, ...] | None = None
    price: float = float("inf")


def _cheapest(
    search: _Search, choices: tuple[tuple[Placed, ...], ...], placed: tuple[Placed, ...]
) -> tuple[Placed, ...] | None:
    price = sum(_price(item) for item in placed)
    if price >= search.price:
        return search.best
    if not choices:
        search.best, search.price = placed, price
    for option in choices[0] if choices else ():
        if not any(_clash(option, other) for other in placed):
            _cheapest(search, choices[1:], (*placed, option))
    return search.best


def _price(item: Placed) -> float:
    """A run's label belongs close above it, so a high row costs it more than a stem's label."""
    aside = 0.0 if item.anchor == ("start" if item.flag.stem else "middle") else 0.4
    return item.row * (1.0 if item.flag.stem else 1.5) + aside


def _tries(flag: Flag, size: float) -> Iterator[Placed]:
    anchors: tuple[Anchor, ...] = ("start", "end") if flag.stem else ("middle", "start", "end")
    options = (option for anchor in anchors for option in _options(flag, size, anchor))
    yield from sorted(options, key=_price)


def _options(flag: Flag, size: float, anchor: Anchor) -> Iterator[Placed]:
    width = text_width(flag.text, size)
    shift = {"start": 4.0, "middle": -width / 2, "end": -width - 4.0}[anchor]
    for row in range(ROWS):
        yield Placed(flag, row, anchor, flag.at + shift, flag.at + shift + width)


def _overlap(one: Placed, other: Placed) -> bool:
    return one.row == other.row and one.start < other.end + GAP and other.start < one.end + GAP


def _clash(one: Placed, other: Placed) -> bool:
    return _overlap(one, other) or _crosses(one, other) or _crosses(other, one)


def _crosses(stem: Placed, label: Placed) -> bool:
    """A stem that rises past a lower label must not run through its text."""
    return stem.flag.stem and stem.row >= label.row and label.start - 3 < stem.flag.at < label.end + 3
