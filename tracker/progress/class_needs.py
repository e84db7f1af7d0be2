"""Skills that a whole class needs taught: said once for all, instead of a flag for many."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracker.measures.flags import class_wide
from tracker.measures.rules import Rules
from tracker.models import Flag, School
from tracker.progress.vocabulary import skill_label
from tracker.queries.standings import Stand

# Flags that rest on scores; one lesson for the whole class comes before them.
FROM_SCORES = (Flag.Kind.ACCURACY, Flag.Kind.REGROUPING)


@dataclass(frozen=True)
class ClassNeed:
    """`below` of the class's `pupils` get the skill wrong too often: more than half."""

    skill: str
    skill_key: str
    below: int
    pupils: int


def class_needs(rows: Iterable[Stand], school: School, *, class_size: int, rules: Rules) -> tuple[ClassNeed, ...]:
    """In ladder order, read as it is when a check is closed: too few checks say nothing yet."""
    by_skill: dict[str, list[Stand]] = defaultdict(list)
    for row in sorted(rows, key=lambda row: row.skill.position):
        if row.checks >= rules.few_checks:
            by_skill[row.skill.key].append(row)
    found = []
    for key, same in by_skill.items():
        answer = class_wide([row.pooled_accuracy for row in same], class_size=class_size, rules=rules)
        if answer is not None:
            found.append(ClassNeed(skill_label(key, school), key, answer.below, answer.pupils))
    return tuple(found)


def own_flags(raised: Iterable[Flag], needs: Sequence[ClassNeed]) -> list[Flag]:
    """The flags that are about one pupil, not about what the whole class needs."""
    covered = {need.skill_key for need in needs}
    return [flag for flag in raised if not (flag.skill.key in covered and flag.kind in FROM_SCORES)]
