"""How many flags a class has to expect by chance alone, so that a page with flags can say so."""

from collections.abc import Collection, Iterable
from math import ceil

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tracker.access.viewer import Viewer
from tracker.measures import ladder
from tracker.measures.flag_rates import MEASURED, RULES_USED
from tracker.measures.ladder import DONE
from tracker.models import ClassGroup, School
from tracker.queries.class_skills import class_skills
from tracker.queries.standings import Stand


def skills_sat(rows: Iterable[Stand]) -> set[str]:
    """Skills that somebody is on: begun and not secure yet."""
    return {row.skill.key for row in rows if row.checks and row.stage not in DONE}


def expected(pupils: int, skills: Collection[str]) -> float:
    """Flags a school year that children who are right often enough would still get, if all of them sat every one of
    these skills every week; a class gets fewer, since nobody does. The regrouping gap needs a skill with a twin."""
    twins = sum(1 for key in skills if ladder.step(key).twin and ladder.step(key).regroups)
    return pupils * (len(skills) * MEASURED.accuracy_low + twins * MEASURED.regrouping_gap)


def sentence(school: School, pupils: int, skills: Collection[str]) -> str:
    """Empty where nobody sits anything. Clock-driven flags are none of chance."""
    if not pupils or not skills:
        return ""
    most = ceil(expected(pupils, skills) - 1e-9)
    text = ngettext(
        "Over all skills of the class, at most about %(most)s flag a year comes by chance.",
        "Over all skills of the class, at most about %(most)s flags a year come by chance.",
        most,
    ) % {"most": most}
    return _("%(first)s %(second)s") % {"first": text, "second": _own_rules()} if _is_changed(school) else text


def _own_rules() -> str:
    return _("This was measured with the rules that came with the product; your school has changed some.")


def _is_changed(school: School) -> bool:
    return not RULES_USED.isdisjoint(school.rules)


def class_sentence(viewer: Viewer, group: ClassGroup) -> str:
    """For a page that has not read the class, in two statements. `group` comes from a scoped query."""
    pupils, skills = class_skills(viewer, group)
    return sentence(viewer.school, pupils, skills)
