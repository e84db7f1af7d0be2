"""What one check showed: who became secure, who to look at, and what was left out."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from tracker.access.viewer import Viewer
from tracker.models import Attempt, Check, Flag, School, Standing
from tracker.progress.evidence import percent
from tracker.progress.gradebook import Cell, cell
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import skill_label
from tracker.progress.week import Became, ClassNeed, LookAt, became, class_needs, is_score, look_at
from tracker.queries import checks, flags, standings


@dataclass(frozen=True)
class SummaryRow:
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
    secure: tuple[Became, ...]
    look_at: tuple[LookAt, ...]
    needs: tuple[ClassNeed, ...]
    done: int
    absent: int
    stopped: int
    left: int
    not_given: int


def check_summary(viewer: Viewer, check: Check) -> CheckSummary:
    rows = list(checks.rows(viewer, check))
    pupils = [row.pupil_id for row in rows]
    standing = list(standings.current(viewer, pupils))
    needs = class_needs(standing, viewer.school, class_size=len(set(pupils)), rules=rules_of(viewer.school))
    covered = {need.skill_key for need in needs}
    counts = Counter(row.status for row in rows)
    reached = [event for event in standings.became(viewer, pupils, check.on) if event.on == check.on]
    raised = [one for one in flags.raised_by(viewer, check) if _is_own(one, covered)]
    return CheckSummary(
        rows=tuple(_rows(rows, standing, viewer.school)),
        skills=tuple(_skills(rows, viewer.school)),
        secure=tuple(became(event, viewer.school) for event in reached),
        look_at=tuple(look_at(one, viewer.school) for one in raised),
        needs=needs,
        done=counts[Attempt.Status.DONE],
        absent=counts[Attempt.Status.ABSENT],
        stopped=counts[Attempt.Status.STOPPED],
        left=counts[Attempt.Status.DUE],
        not_given=counts[Attempt.Status.NOT_GIVEN],
    )


def _is_own(flag: Flag, covered: set[str]) -> bool:
    return not (flag.skill.key in covered and is_score(flag.kind))


def _rows(rows: Sequence[Attempt], standing: Sequence[Standing], school: School) -> list[SummaryRow]:
    cells = {(one.pupil_id, one.skill_id): cell(one) for one in standing}
    return [
        SummaryRow(
            pupil_id=row.pupil.public_id,
            name=str(row.pupil),
            skill=skill_label(row.skill.key, school),
            sheet=row.sheet.code if row.sheet else "",
            status=row.status,
            status_label=str(Attempt.Status(row.status).label),
            rate=shown_rate(row),
            accuracy=shown_accuracy(row),
            stage=cells.get((row.pupil_id, row.skill_id), Cell("", "")),
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
