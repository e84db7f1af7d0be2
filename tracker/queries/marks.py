"""The working marks that hold at a school."""

from collections import defaultdict
from dataclasses import dataclass

from django.http import Http404

from tracker.access.permissions import may
from tracker.access.viewer import Viewer
from tracker.measures import ladder
from tracker.measures.ladder_steps import SkillStep
from tracker.models import Mark, Pupil


@dataclass(frozen=True)
class SkillMark:
    """A step of the ladder with the default that came with the product and the school's own marks, newest first."""

    step: SkillStep
    holds: Mark | None
    own: tuple[Mark, ...]

    @property
    def key(self) -> str:
        return self.step.key

    @property
    def has_grades(self) -> bool:
        return any(mark.grade is not None for mark in self.own)


def school_marks(viewer: Viewer) -> list[SkillMark]:
    """One row a skill in the order of the ladder."""
    if not may(viewer, "read-roster"):
        raise Http404
    rows: dict[str, list[Mark]] = defaultdict(list)
    marks = Mark.objects.filter(school=viewer.school, pupil__isnull=True).select_related("skill", "set_by")
    for mark in marks.order_by("-valid_from", "-version"):
        rows[mark.skill.key].append(mark)
    return [_row(step, rows[step.key], viewer) for step in ladder.steps()]


def _row(step: SkillStep, marks: list[Mark], viewer: Viewer) -> SkillMark:
    """What holds today for every grade; marks for one grade stand in the list of the skill."""
    holds = next((mark for mark in marks if mark.grade is None and mark.valid_from <= viewer.today), None)
    return SkillMark(step, holds, tuple(marks))


def skill_mark(viewer: Viewer, skill_key: str) -> SkillMark:
    found = next((row for row in school_marks(viewer) if row.key == skill_key), None)
    if found is None:
        raise Http404
    return found


def pupil_marks(viewer: Viewer, pupil: Pupil) -> list[Mark]:
    rows = Mark.objects.filter(school=viewer.school, pupil=pupil).select_related("skill", "set_by")
    return list(rows.order_by("-valid_from", "-version"))
