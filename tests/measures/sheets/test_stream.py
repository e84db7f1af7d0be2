from collections import Counter

import numpy as np
import pytest

from tracker.measures.sheets.stream import Stream


def test_stream_is_frozen():
    # Pinned on 2026-11-24: a stored form must be the same form for ever.
    stream = Stream("pinned", 1)

    assert [stream.below(1000) for _ in range(6)] == [379, 809, 615, 22, 875, 311]


def test_stream_takes_the_raw_words_of_pcg64_as_they_come():
    stream = Stream("pinned", 1)
    words = stream._words.random_raw

    assert stream.below(2**64) == int(Stream("pinned", 1)._words.random_raw())
    assert isinstance(stream._words, np.random.PCG64)
    assert words() < 2**64


def test_other_names_give_other_streams():
    firsts = {Stream(*parts).below(2**64) for parts in (("a", 1), ("a", 2), ("b", 1), ("a1",), ("a", 1, 0))}

    assert len(firsts) == 5


def test_numbers_are_equally_likely():
    stream = Stream("fair")
    counts = Counter(stream.below(6) for _ in range(6000))

    # Chi square with 5 degrees of freedom: above 20.5 in one seed of a thousand; this seed is fixed.
    assert sum((counts[face] - 1000) ** 2 / 1000 for face in range(6)) < 20.5


def test_words_beyond_the_last_whole_multiple_are_drawn_again():
    stream = Stream("any")
    words = iter([2**64 - 1, 2**64 - 2, 7])
    stream._words = type("Words", (), {"random_raw": lambda self: next(words)})()

    # 2**64 = 1 modulo 3: only the highest word is refused, the next one gives (2**64 - 2) % 3.
    assert [stream.below(3), stream.below(3)] == [2, 1]


@pytest.mark.parametrize("bound", [0, -1, 2**64 + 1])
def test_impossible_bounds_are_refused(bound):
    with pytest.raises(ValueError, match=r"the bound must be from 1 to 2\*\*64"):
        Stream("any").below(bound)


def test_pick_reaches_every_item():
    stream = Stream("pick")

    assert {stream.pick("abc") for _ in range(60)} == set("abc")
