"""Writes score files as four teachers would keep them: each in their own program, with their own heads and dates."""

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from string import Template

from tracker.management.demo.calendar import Calendar
from tracker.management.demo.model import Score
from tracker.measures.ladder import fill, step

FIELDS = ("reference", "date", "skill", "correct", "wrong", "omitted", "seconds", "status", "setting")


@dataclass(frozen=True)
class Habits:
    """How one teacher keeps a list."""

    separator: str
    encoding: str
    day: str
    heads: tuple[str, ...]
    keys: bool  # skills by key, else in words


HABITS = (
    Habits(",", "utf-8", "%Y-%m-%d", FIELDS, keys=True),
    Habits(
        ";",
        "utf-8-sig",
        "%d/%m/%Y",
        ("Pupil ID", "Date taken", "Skill", "DC", "Errors", "Left out", "Secs", "Remark", "Where"),
        keys=False,
    ),
    Habits(
        "\t",
        "cp1252",
        "%d.%m.%Y",
        ("Ref", "Day", "Step", "Digits Correct", "Digits Wrong", "Skipped", "Seconds", "Attendance", "Place"),
        keys=True,
    ),
    Habits(
        ";",
        "utf-16",
        "%Y-%m-%d",
        ("ROLL NUMBER", "DATE", "TOPIC", "RIGHT", "MISTAKES", "OMITTED", "SECONDS", "STATUS", "SETTING"),
        keys=False,
    ),
)


def score_file(scores: Iterable[Score], habits: Habits) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=habits.separator)
    writer.writerow(habits.heads)
    writer.writerows(_cells(score, habits) for score in scores)
    return out.getvalue().encode(habits.encoding)


def _cells(score: Score, habits: Habits) -> list[str]:
    skill = score.skill if habits.keys else fill(step(score.skill).label)
    counts = (score.correct, score.wrong, score.omitted, score.seconds)
    status = "absent" if score.status == "absent" else ""
    return [
        score.reference,
        score.on.strftime(habits.day),
        skill,
        *("" if count is None else str(count) for count in counts),
        status,
        "" if score.setting == "class" else score.setting,
    ]


def file_to_try(template: bytes, calendar: Calendar) -> bytes:
    """The file for trying the data page, with days of the last weeks put in; its heads and faults stay as they are."""
    text = template.decode("utf-8")
    days = {f"day{back}": _day_without_check(calendar, back) for back in (1, 2, 3)}
    shown = {f"iso{name[3:]}": day.isoformat() for name, day in days.items()}
    shown |= {f"dmy{name[3:]}": day.strftime("%d/%m/%Y") for name, day in days.items()}
    return Template(text).substitute(shown).encode("utf-8-sig")


def _day_without_check(calendar: Calendar, weeks_back: int) -> date:
    """Another weekday than that of the checks."""
    week = calendar.weeks - weeks_back
    monday = calendar.week_began(week)
    thursday = date.fromordinal(monday.toordinal() + 3)
    return monday if thursday == calendar.day(week) else thursday
