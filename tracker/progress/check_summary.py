"""What one check showed: who became secure, who to look at, and what was left out."""

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from statistics import median

from tracker.access.viewer import Viewer
from tracker.models import Attempt, Check, School
from tracker.progress.by_chance import sentence, skills_sat
from tracker.progress.called import called
from tracker.progress.class_needs import ClassNeed, class_needs, own_flags
from tracker.progress.evidence import percent
from tracker.progress.gradebook import EMPTY, Cell, cell
from tracker.progress.look_at import Became, LookAt, became, look_at
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import skill_label
from tracker.queries import checks, flags, standings
from tracker.queries.standings import Stand


@dataclass(frozen=True)
class SummaryRow:
    """`pupil_id` is empty for a child who has moved on and whose page is no longer the viewer's to open."""

    pupil_id: str
    name: str
    skill: str
    sheet: str
    status: str
    status_label: str
    rate: str
    accuracy: str
    stage: Cell


@dataclass(frozen=True)
class SkillLine:
    """The class on one skill, in this check: how many sat it and the middle of them; nobody is ranked."""

    skill: str
    pupils: int
    rate: str
    accuracy: str


@dataclass(frozen=True)
class CheckSummary:
    rows: tuple[SummaryRow, ...]
    skills: tuple[SkillLine, ...]
    became: tuple[Became, ...]
    look_at: tuple[LookAt, ...]
    needs: tuple[ClassNeed, ...]
    by_chance: str
    done: int
    absent: int
    stopped: int
    left: int
    not_given: int


def check_summary(viewer: Viewer, check: Check) -> CheckSummary:
    rows = list(checks.rows(viewer, check))
    within = standings.still_within(viewer, check)
    standing = standings.current(viewer, within)
    size = len({row.pupil_id for row in rows})
    needs = class_needs(standing, viewer.school, class_size=size, rules=rules_of(viewer.school))
    raised = own_flags(flags.raised_by(viewer, check), needs)
    counts = Counter(row.status for row in rows)
    names = called(row.pupil for row in rows)
    return CheckSummary(
        rows=tuple(_rows(rows, standing, within, school=viewer.school)),
        skills=tuple(_skills(rows, viewer.school)),
        became=became(standings.became_by(viewer, check), viewer.school, names),
        look_at=look_at(raised, viewer.school, names),
        needs=needs,
        by_chance=sentence(viewer.school, size, skills_sat(standing)) if raised else "",
        done=counts[Attempt.Status.DONE],
        absent=counts[Attempt.Status.ABSENT],
        stopped=counts[Attempt.Status.STOPPED],
        left=counts[Attempt.Status.DUE],
        not_given=counts[Attempt.Status.NOT_GIVEN],
    )


def _rows(
    rows: Sequence[Attempt], standing: Sequence[Stand], within: Collection[int], *, school: School
) -> list[SummaryRow]:
    cells = {(one.pupil_id, one.skill.key): cell(one) for one in standing}
    names = called(row.pupil for row in rows)
    return [
        SummaryRow(
            pupil_id=row.pupil.public_id if row.pupil_id in within else "",
            name=names[row.pupil_id],
            skill=skill_label(row.skill.key, school),
            sheet=row.sheet.code if row.sheet else "",
            status=row.status,
            status_label=str(Attempt.Status(row.status).label),
            rate=shown_rate(row),
            accuracy=shown_accuracy(row),
            stage=cells.get((row.pupil_id, row.skill.key), EMPTY),
        )
        for row in rows
    ]


def rate_of(row: Attempt) -> float | None:
    """Digits correct a minute of a timed written row that was done."""
    if row.status != Attempt.Status.DONE or row.correct is None or not row.seconds or row.mode != "written":
        return None
    return row.correct * 60 / row.seconds


def accuracy_of(row: Attempt) -> float | None:
    if row.correct is None or row.wrong is None or row.correct + row.wrong == 0:
        return None
    return row.correct / (row.correct + row.wrong)


def shown_rate(row: Attempt) -> str:
    rate = rate_of(row)
    return "" if rate is None else f"{rate:.1f}"


def shown_accuracy(row: Attempt) -> str:
    share = accuracy_of(row)
    return "" if share is None else percent(share)


def _skills(rows: Sequence[Attempt], school: School) -> list[SkillLine]:
    by_skill: dict[str, list[Attempt]] = defaultdict(list)
    for row in sorted(rows, key=lambda row: row.skill.position):
        if row.status == Attempt.Status.DONE:
            by_skill[row.skill.key].append(row)
    return [_line(key, same, school) for key, same in by_skill.items()]


def _line(key: str, rows: Sequence[Attempt], school: School) -> SkillLine:
    rates = [rate for row in rows if (rate := rate_of(row)) is not None]
    shares = [share for row in rows if (share := accuracy_of(row)) is not None]
    return SkillLine(
        skill=skill_label(key, school),
        pupils=len(rows),
        rate=f"{median(rates):.1f}" if rates else "",
        accuracy=percent(median(shares)) if shares else "",
    )
