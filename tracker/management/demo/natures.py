"""Kinds of pupils: what is true of each before chance comes in. Shares are shares of a skill's working mark."""

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Nature:
    """How one kind of pupil takes up a new skill."""

    start: float = 0.8  # rate at the first check, as a share of the mark
    growth: float = 0.09  # gain a week, as a share of the mark
    ceiling: float = 1.35  # where the rate ends up
    accuracy: float = 0.94  # at the first check
    care: float = 0.985  # where accuracy ends up
    day: float = 0.12  # spread of the rate from day to day
    slips: float = 0.01  # spread of accuracy from day to day
    copying: float = 62.0  # digits copied a minute
    year_start: float = 0.52  # the same for the mixed year sheet, over the whole year
    year_growth: float = 0.019
    levels_from: int | None = None  # school week from which nothing grows any more
    timed: bool = True


STEADY = Nature()
KINDS: dict[str, Nature] = {
    "steady": STEADY,
    "stuck": replace(STEADY, year_start=0.46, year_growth=0.009),
    "slow": Nature(start=0.5, growth=0.012, ceiling=0.72, accuracy=0.965, care=0.987, year_growth=0.008),
    "facts": Nature(start=0.5, growth=0.015, ceiling=0.7, accuracy=0.945, care=0.965, year_growth=0.008),
    "varies": Nature(start=0.68, growth=0.05, accuracy=0.93, care=0.93, day=0.36, slips=0.09),
    "writer": Nature(accuracy=0.97, care=0.99, copying=23.0, year_start=0.48, year_growth=0.008),
    "below": Nature(start=0.68, growth=0.055, accuracy=0.91, care=0.97, year_start=0.26, year_growth=0.01),
    "levels": Nature(start=0.66, growth=0.05, ceiling=0.95, accuracy=0.95, care=0.97, levels_from=12),
    "moved": STEADY,
    "new": STEADY,
    "away": STEADY,
    "untimed": replace(STEADY, timed=False, accuracy=0.92, care=0.975),
}
# What a pupil who has not understood regrouping does on sheets that need it.
STUCK_START, STUCK_GROWTH, STUCK_ACCURACY = 0.52, 0.006, 0.6
# A pupil without facts is slowest on the facts themselves.
FACTS_CEILING = 0.56
# Nobody writes answers quite as fast as they copy digits.
WRITING_CEILING = 0.92
