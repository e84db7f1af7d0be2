"""What strikes a whole class at once: a form that is harder than others, a check that could not be held."""

from functools import cache
from zlib import crc32

import numpy as np

from tracker.measures import ladder
from tracker.measures.sheets.timed import timed_sheet

FORM_SPREAD, HARD_FORMS_SHARE, HARDER_BY = 0.06, 0.06, (0.12, 0.28)
CLASS_SKIPS_SHARE, NEVER_SKIPPED_AT_THE_END = 0.03, 4


def class_skips(class_name: str, week: int, *, weeks: int, seed: int) -> bool:
    """A trip, a feast, a day without heating; the last weeks are never left out."""
    drawn = np.random.default_rng([seed, crc32(class_name.encode()), week]).random()
    return 1 < week <= weeks - NEVER_SKIPPED_AT_THE_END and drawn < CLASS_SKIPS_SHARE


def form_effect(key: str, *, grade: int, week: int, seed: int) -> float:
    """One form a skill, week and grade: everybody who sits it finds it as hard."""
    random = np.random.default_rng([seed, ladder.step(key).order, grade, week])
    effect = random.lognormal(-(FORM_SPREAD**2) / 2, FORM_SPREAD)
    harder = random.uniform(*HARDER_BY) if random.random() < HARD_FORMS_SHARE else 0.0
    return float(effect * (1 - harder))


def within_sheet(written: int, key: str, seconds: int) -> tuple[int, int]:
    """Whoever reaches the end of the sheet puts the pencil down, and the time is noted."""
    if written <= holds(key):
        return written, seconds
    return holds(key), max(round(seconds * holds(key) / written), 1)


@cache
def holds(key: str) -> int:
    return timed_sheet(key, 1).digits_possible
