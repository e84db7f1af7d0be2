"""A frozen stream of random numbers: the same seed gives the same sheet for ever, on every machine and version."""

import hashlib
from collections.abc import Sequence
from typing import TypeVar

import numpy as np

Item = TypeVar("Item")
WORD = 2**64


class Stream:
    """Random whole numbers from the raw words of PCG64, never through methods whose results a release may change.

    Parameters
    ----------
    *parts : str or int
        What names the stream; the same parts give the same stream. [name]

    Raises
    ------
    Nothing.

    Source
    ------
    [pcg-2014] [lemire-2019]

    Examples
    --------
    >>> stream = Stream("doublerule", 1)
    >>> [stream.below(10) for _ in range(8)]
    [2, 5, 8, 0, 9, 7, 4, 9]
    """

    def __init__(self, *parts: str | int) -> None:
        name = "\x1f".join(str(part) for part in parts)
        self._words = np.random.PCG64(int.from_bytes(hashlib.sha256(name.encode()).digest()))

    def below(self, bound: int) -> int:
        """Draw a whole number from 0 to bound - 1, each as likely: words beyond the last whole multiple don't count."""
        if not 0 < bound <= WORD:
            raise ValueError(f"the bound must be from 1 to 2**64, not {bound}")
        limit = WORD - WORD % bound
        while True:
            word = int(self._words.random_raw())
            if word < limit:
                return word % bound

    def pick(self, items: Sequence[Item]) -> Item:
        """One of the items, each as likely."""
        return items[self.below(len(items))]
