"""The demo's school year: it ends at this week whenever it is made, so that nothing in it is stale."""

from dataclasses import dataclass
from datetime import date, timedelta

FRIDAY = 4
WEEKS_AFTER = 12


@dataclass(frozen=True)
class Stretch:
    name: str
    starts: date
    ends: date


@dataclass(frozen=True)
class Calendar:
    """`pauses` gives for each break the school week that it follows and its length in weeks."""

    today: date
    weeks: int = 26
    pauses: tuple[tuple[int, int], ...] = ((8, 1), (15, 2))

    @property
    def starts(self) -> date:
        monday = self.today - timedelta(days=self.today.weekday())
        return monday - timedelta(weeks=self._calendar_week(self.weeks) - 1)

    @property
    def ends(self) -> date:
        return self._monday(self.weeks) + timedelta(weeks=WEEKS_AFTER, days=FRIDAY)

    @property
    def year_name(self) -> str:
        first, last = self.starts.year, self.ends.year
        return str(first) if first == last else f"{first}/{last % 100:02d}"

    def day(self, week: int) -> date:
        """The day of a week's check: this week's is today, or the last school day before a weekend."""
        return self._monday(week) + timedelta(days=min(self.today.weekday(), FRIDAY))

    def week_began(self, week: int) -> date:
        return self._monday(week)

    def breaks(self) -> list[Stretch]:
        return [
            Stretch(
                f"Break {number}", self._monday(after + 1) - timedelta(weeks=length), self._friday_before(after + 1)
            )
            for number, (after, length) in enumerate(self._pauses(), start=1)
        ]

    def terms(self) -> list[Stretch]:
        first_weeks = [1, *(after + 1 for after, _length in self._pauses())]
        starts = [self._monday(week) for week in first_weeks]
        ends = [self._monday(after) + timedelta(days=FRIDAY) for after, _length in self._pauses()] + [self.ends]
        return [Stretch(f"Term {n}", *days) for n, days in enumerate(zip(starts, ends, strict=True), start=1)]

    def _pauses(self) -> list[tuple[int, int]]:
        return [pause for pause in self.pauses if pause[0] < self.weeks]

    def _calendar_week(self, week: int) -> int:
        return week + sum(length for after, length in self._pauses() if after < week)

    def _monday(self, week: int) -> date:
        return self.starts + timedelta(weeks=self._calendar_week(week) - 1)

    def _friday_before(self, week: int) -> date:
        return self._monday(week) - timedelta(days=3)
