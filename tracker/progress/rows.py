"""What a saved row answers at once: rate, accuracy, and whether to look at it again."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from tracker.measures import noise
from tracker.measures.observations import Observation
from tracker.measures.rules import Rules

FINISHED = "finished-needs-time"
PLEASE_CHECK = "please-check"


@dataclass(frozen=True)
class Doubt:
    """`code` for the page, `sentence` for the person; without history the sentence names no number."""

    code: str
    sentence: str

    def as_json(self) -> dict[str, str]:
        return {"code": self.code, "sentence": self.sentence}


def doubt_of(
    seen: Observation, earlier: Iterable[Observation], *, possible: int | None, rules: Rules, history: bool
) -> Doubt | None:
    """Compares an entry with the pupil's last checks; `history` says whether the reader may see those."""
    expected = noise.expectation(earlier, seconds=seen.seconds, on=seen.on, rules=rules) if seen.seconds else None
    found = noise.doubt(seen, expected, possible=possible, rules=rules)
    if found is None:
        return None
    if found.code != noise.MORE_THAN_SHEET and not history:
        return Doubt(PLEASE_CHECK, _("Please check this entry."))
    return Doubt(found.code, _sentence(found.code) % {"usual": round(found.expected), "now": round(found.got)})


def _sentence(code: str) -> str:
    return {
        noise.MORE_THAN_SHEET: _("Please check this entry: the sheet holds %(usual)s digits, typed are %(now)s."),
        noise.UNLIKE_LAST_CHECKS: _("Please check this entry: usually about %(usual)s digits correct, now %(now)s."),
        noise.MORE_WRONG_THAN_USUAL: _("Please check this entry: usually about %(usual)s digits wrong, now %(now)s."),
    }[code]


def finished_doubt() -> Doubt:
    return Doubt(FINISHED, _("The whole sheet was finished. How many seconds did it take?"))


def is_finished(*, correct: int, wrong: int, omitted: int, possible: int | None) -> bool:
    """Every digit of the sheet is accounted for; so it is, too, when the last item was reached."""
    return possible is not None and correct + wrong + omitted >= possible > 0
