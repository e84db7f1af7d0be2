"""The product's words for what the measures say, in the reader's language and with the school's own terms."""

from collections.abc import Iterable, Mapping

from django.utils.translation import gettext, pgettext

from tracker.measures import ladder
from tracker.models import Flag, School

LETTERS = {"learning": "L", "quicker": "Q", "secure": "S", "kept": "K"}


def stage_label(stage: str) -> str:
    return {
        "not-started": gettext("not started"),
        "few": gettext("too few checks"),
        "learning": gettext("learning"),
        "quicker": gettext("getting quicker"),
        "secure": gettext("secure"),
        "kept": gettext("kept"),
    }[stage]


def stage_letter(stage: str) -> str:
    """The letter beside the ruled number; none before a stage is known."""
    return pgettext("stage letter", LETTERS[stage]) if stage in LETTERS else ""


def flag_label(kind: str) -> str:
    return str(Flag.Kind(kind).label)


def school_words(school: School) -> Mapping[str, str]:
    """The school's words for grade, regrouping and subtract; where it chose none, ours."""
    return {word: school.words.get(word) or gettext(ours) for word, ours in ladder.DEFAULT_WORDS.items()}


def skill_label(key: str, school: School) -> str:
    return ladder.fill(gettext(ladder.step(key).label), school_words(school))


def words_explained(keys: Iterable[str], school: School) -> str:
    """For families: what the one word of the trade in these skills' names means; empty where none has it."""
    if not any("%(regrouping)s" in ladder.step(key).label for key in keys):
        return ""
    text = gettext("“%(regrouping)s” means swapping ten ones for a ten, or a ten for ten ones.")
    return text % school_words(school)


def skill_short(key: str, school: School) -> tuple[str, str]:
    """Two short lines for a narrow table head."""
    words = school_words(school)
    first, second = ladder.step(key).short_label
    return gettext(first) % words, gettext(second) % words if second else ""


def grade_label(grade: int, school: School) -> str:
    return ladder.fill("%(grade)s %(number)s", {**school_words(school), "number": str(grade)})
