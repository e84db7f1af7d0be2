"""Digits correct, written wrong and left out, from what the pupil wrote or from what the teacher counted."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

NUMERALS = frozenset("0123456789")
ILLEGIBLE, GAP = "?", "_"


@dataclass(frozen=True)
class DigitScore:
    """Three separate counts, from which every usual definition of an error can be made; scores can be added.

    Parameters
    ----------
    correct : int
        Right numeral in the right place. [digits]
    wrong : int
        Numerals written that are not, more numerals than the key has included. [digits]
    omitted : int
        Places of the key that were left empty. [digits]
    possible : int
        Digits of the key. [digits]

    Raises
    ------
    Nothing.

    Source
    ------
    [fuchs-2005-slides] [uncw-slides]

    Examples
    --------
    >>> DigitScore(2, 0, 1, 3) + DigitScore(1, 1, 0, 2)
    DigitScore(correct=3, wrong=1, omitted=1, possible=5)
    """

    correct: int
    wrong: int
    omitted: int
    possible: int

    def __add__(self, other: "DigitScore") -> "DigitScore":
        return DigitScore(
            self.correct + other.correct,
            self.wrong + other.wrong,
            self.omitted + other.omitted,
            self.possible + other.possible,
        )


def score_digits(
    key: int | str, written: int | str | None, *, align: str = "right", strip_leading_zeros: bool = True
) -> DigitScore:
    """Count the digits of one answer: right numeral in the right place is correct, anything else written is wrong.

    Parameters
    ----------
    key : int or str
        The right answer. [numerals]
    written : int, str or None
        What the pupil wrote [numerals]; '?' for a numeral that can't be read (wrong), '_' for an empty place (left
        out); None, '' or blanks for no answer at all.
    align : str
        'right' for answers worked from the ones (adding, subtracting, multiplying), 'left' for a quotient.
    strip_leading_zeros : bool
        Whether a zero written in front counts neither for nor against; if not, it counts as a digit.

    Returns
    -------
    DigitScore
        The three counts and the digits of the key. [digits]

    Raises
    ------
    ValueError
        If align is neither 'right' nor 'left', the key is no number, or what was written holds anything but numerals,
        '?' and '_'.

    Notes
    -----
    A crossed-out or unfinished answer is typed as it can be read: its correct digits count. A reversed numeral is typed
    as the numeral meant, unless it reads as another one (6 and 9). Small figures of a trade or a carried ten earn
    nothing: don't type them. Zeros in front: no source was found, hence the argument.

    Source
    ------
    [fuchs-2005-slides] [uncw-slides] [fuchs-guidance] [trade-digits-table]

    Examples
    --------
    >>> score_digits(452, 52)
    DigitScore(correct=2, wrong=0, omitted=1, possible=3)
    >>> score_digits(85, "715")
    DigitScore(correct=1, wrong=2, omitted=0, possible=2)
    >>> score_digits(7, None)
    DigitScore(correct=0, wrong=0, omitted=1, possible=1)
    """
    if align not in ("right", "left"):
        raise ValueError(f"align must be right or left, not {align!r}")
    wanted, given = _key(key), _written(written, strip=strip_leading_zeros)
    if align == "right":
        wanted, given = wanted[::-1], given[::-1]
    pairs = list(zip_longest(wanted, given, fillvalue=GAP))
    correct = sum(right == got for right, got in pairs if right != GAP)
    wrong = sum(got != GAP and right != got for right, got in pairs)
    omitted = sum(right != GAP and got == GAP for right, got in pairs)
    return DigitScore(correct, wrong, omitted, len(wanted))


def score_parts(keys: Sequence[int | str], written: Sequence[int | str | None], *, align: str = "right") -> DigitScore:
    """Count the digits of an answer that is made of several numbers, each scored by itself.

    Use it where the working below the line is scored, too (every line a part; a zero or other sign that holds a place
    is typed as 0 and earns credit), and for quotient and remainder, or whole number, numerator and denominator.

    Parameters
    ----------
    keys : sequence of int or str, length n
        The right numbers, in order. [numerals]
    written : sequence of int, str or None, length n or less
        What the pupil wrote for each [numerals]; parts missing at the end count as left out.
    align : str
        As in score_digits, for every part.

    Returns
    -------
    DigitScore
        The sum over the parts. [digits]

    Raises
    ------
    ValueError
        If there is no part, there are more parts than the key has, or a part is refused by score_digits.

    Source
    ------
    [fuchs-2005-slides] [uncw-slides] [fuchs-guidance]

    Examples
    --------
    >>> score_parts([48, 360, 408], [48, 360, 408]).correct
    8
    >>> score_parts([403, 52], [43, 5], align="left").correct
    2
    """
    if not keys:
        raise ValueError("there is no number to score")
    if len(written) > len(keys):
        raise ValueError(f"{len(written)} numbers were written where the key has {len(keys)}")
    total = DigitScore(0, 0, 0, 0)
    for key, given in zip_longest(keys, written):
        total += score_digits(key, given, align=align)
    return total


def score_last_item(running_digits: Sequence[int], last_item: int, *, wrong: int, left_out: int = 0) -> DigitScore:
    """Make the three counts from the last item a pupil reached and the digits marked wrong up to there.

    Parameters
    ----------
    running_digits : sequence of int, length n
        Digits of the key up to and with each item, as printed on the key. [digits]
    last_item : int
        Number of the last item reached, from 1; 0 when nothing was reached. [item]
    wrong : int
        Digits marked wrong up to there, at most as many an item as its key has. [digits]
    left_out : int
        Digits left empty up to there; they count as not right, and not as wrong. [digits]

    Returns
    -------
    DigitScore
        Counts up to the last item; possible counts only what was reached, since items not reached are no errors.
        [digits]

    Raises
    ------
    ValueError
        If the running totals are not rising, there is no such item, a count is negative, or wrong and left out
        together are more than the digits reached.

    Source
    ------
    [fuchs-guidance] [own]

    Examples
    --------
    >>> score_last_item([2, 4, 6, 9], 3, wrong=1, left_out=2)
    DigitScore(correct=3, wrong=1, omitted=2, possible=6)
    """
    if any(later <= earlier for earlier, later in zip((0, *running_digits), running_digits, strict=False)):
        raise ValueError("running totals of digits must rise from item to item")
    if not 0 <= last_item <= len(running_digits):
        raise ValueError(f"the sheet has items 1 to {len(running_digits)}, not {last_item}")
    if wrong < 0 or left_out < 0:
        raise ValueError(f"a count of digits can't be negative: {wrong} wrong, {left_out} left out")
    reached = running_digits[last_item - 1] if last_item else 0
    if wrong + left_out > reached:
        raise ValueError(f"{wrong} wrong and {left_out} left out are more than the {reached} digits up to that item")
    return DigitScore(reached - wrong - left_out, wrong, left_out, reached)


def _key(key: int | str) -> str:
    text = str(key).strip()
    if not text or not NUMERALS.issuperset(text):
        raise ValueError(f"the key must be a number in numerals, not {key!r}")
    return _without_leading_zeros(text)


def _written(written: int | str | None, *, strip: bool) -> str:
    text = "" if written is None else str(written).strip()
    if not NUMERALS.union(ILLEGIBLE, GAP).issuperset(text):
        raise ValueError(f"an answer holds numerals, ? for an unreadable one and _ for an empty place, not {written!r}")
    return _without_leading_zeros(text) if strip else text


def _without_leading_zeros(text: str) -> str:
    return text.lstrip("0") or text[-1:]
