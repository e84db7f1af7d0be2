"""Entries in words: what a row answers, what two people typed for it, and how it came to be what it is."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.formats import date_format, number_format, time_format
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.models import Attempt, ChangeRecord, Conflict, User
from tracker.progress.evidence import percent
from tracker.progress.rows import PLEASE_CHECK, Doubt
from tracker.progress.vocabulary import stage_label, stage_letter

Values = Mapping[str, Any]
RATE, ACCURACY = "rate", "accuracy"
SAT = (Attempt.Status.DONE, Attempt.Status.STOPPED)
# Codes that tell nothing of what the pupil did before.
PLAIN_CODES = ("more-than-sheet", "finished-needs-time")


@dataclass(frozen=True)
class Answer:
    """Rate and accuracy written out. `ruled` names the number that stands over the rule of the stage; without
    history there is no stage."""

    rate: str = ""
    accuracy: str = ""
    ruled: str = ""
    stage: str = ""
    letter: str = ""
    label: str = ""
    doubt: Doubt | None = None

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def answer_words(*, rate: float | None, accuracy: float | None, stage: str, doubt: Doubt | None) -> Answer:
    if rate is None and accuracy is None:
        return Answer(rate="–", accuracy="–", doubt=doubt)
    # While the method is being learnt accuracy counts, and so it does where there is no rate.
    ruled = ACCURACY if stage == "learning" or rate is None else RATE
    return Answer(
        rate="–" if rate is None else number_format(round(rate, 1), 1),
        accuracy="–" if accuracy is None else percent(accuracy),
        ruled=ruled if stage else "",
        stage=stage,
        letter=stage_letter(stage),
        label=stage_label(stage) if stage else "",
        doubt=doubt,
    )


def bare(doubt: Doubt | None) -> Doubt | None:
    """The doubt for a person who may not see what the pupil did before."""
    if doubt is None or doubt.code in PLAIN_CODES:
        return doubt
    return Doubt(PLEASE_CHECK, _("Please check this entry."))


@dataclass(frozen=True)
class Side:
    """One of two entries for a row."""

    words: str
    who: str
    when: str


@dataclass(frozen=True)
class Dispute:
    """Two people typed different values; both see both and one of them decides."""

    conflict_id: str
    kept: Side
    lost: Side

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def dispute_of(conflict: Conflict, viewer: Viewer) -> Dispute:
    entered_at = conflict.attempt.entered_at
    kept_at = entered_at if entered_at and entered_at <= conflict.at else None
    kept, lost = conflict.kept, conflict.lost
    return Dispute(
        conflict_id=conflict.public_id,
        kept=Side(entry_words(kept, beside=lost), _name(conflict.kept_by, viewer), when(kept_at, viewer)),
        lost=Side(entry_words(lost, beside=kept), _name(conflict.lost_by, viewer), when(conflict.at, viewer)),
    )


def _name(user: User | None, viewer: Viewer) -> str:
    if user is None:
        return _("somebody")
    return _("you") if user.pk == viewer.user.pk else str(user)


def when(at: datetime | None, viewer: Viewer) -> str:
    """The time of day at the school; on other days the day as well."""
    if at is None:
        return ""
    local = at.astimezone(ZoneInfo(viewer.school.timezone))
    time = time_format(local.time(), "H:i")
    if local.date() == viewer.today:
        return time
    return _("%(day)s, %(time)s") % {"day": date_format(local.date(), "j F"), "time": time}


def entry_words(values: Values, *, beside: Values | None = None) -> str:
    """`beside` is what the entry is compared with: what the two share is left out, unless it is the counts."""
    parts = []
    if values["status"] not in SAT:
        parts.append(_status(values["status"]))
    elif values["correct"] is None:
        parts.append(_("stopped, nothing counted"))
    else:
        parts.append(_counts(values))
        if values["status"] == Attempt.Status.STOPPED:
            parts.append(_status(values["status"]))
    if beside is not None and values["seconds"] != beside["seconds"]:
        seconds = values["seconds"]
        parts.append(_("untimed") if seconds is None else _("in %(seconds)s s") % {"seconds": seconds})
    return ", ".join(parts)


def _status(status: str) -> str:
    return _("empty") if status == Attempt.Status.DUE else str(Attempt.Status(status).label)


def _counts(values: Values) -> str:
    if values.get("reached") is not None:
        return _("up to item %(reached)s, %(wrong)s wrong") % {"reached": values["reached"], "wrong": values["wrong"]}
    return _("%(correct)s correct, %(wrong)s wrong") % {"correct": values["correct"], "wrong": values["wrong"]}


@dataclass(frozen=True)
class ChangeLine:
    """One change of a row, as it is listed under it."""

    before: str
    after: str
    who: str
    when: str
    why: str


def change_line(change: ChangeRecord, who: str, viewer: Viewer) -> ChangeLine | None:
    """None where nothing changed that people would see."""
    before, after = change.before, change.after
    if not before or not after or "status" not in before or "status" not in after:
        return None
    old, new = entry_words(before, beside=after), entry_words(after, beside=before)
    if old == new and not change.why:
        return None
    return ChangeLine(old, new, who or _("somebody"), when(change.recorded_at, viewer), change.why)
