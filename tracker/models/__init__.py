"""What is kept. Import models from here."""

from tracker.models.checks import Answer, Attempt, Check, Conflict, SaveKey
from tracker.models.families import HomeActivity, Note, Reading
from tracker.models.ladder import Mark, MasteryEvent, Skill
from tracker.models.people import (
    AccessCode,
    Guardian,
    Membership,
    ProviderAssignment,
    Role,
    Teaching,
    User,
    UserSession,
)
from tracker.models.pupils import Enrolment, Evidence, MaterialRecord, Phase, Pupil
from tracker.models.records import AccessRecord, ChangeRecord, ErasureEntry, ImportBatch
from tracker.models.reports import ReportMark, SavedView
from tracker.models.school import Break, ClassGroup, GroupPlace, PupilGroup, School, SchoolYear, Term
from tracker.models.sheets import Sheet, SheetItem
from tracker.models.standings import Calibration, Finding, Flag, Standing
from tracker.models.support import Intervention, Review, Session, SupportStanding

__all__ = [
    "AccessCode",
    "AccessRecord",
    "Answer",
    "Attempt",
    "Break",
    "Calibration",
    "ChangeRecord",
    "Check",
    "ClassGroup",
    "Conflict",
    "Enrolment",
    "ErasureEntry",
    "Evidence",
    "Finding",
    "Flag",
    "GroupPlace",
    "Guardian",
    "HomeActivity",
    "ImportBatch",
    "Intervention",
    "Mark",
    "MasteryEvent",
    "MaterialRecord",
    "Membership",
    "Note",
    "Phase",
    "ProviderAssignment",
    "Pupil",
    "PupilGroup",
    "Reading",
    "ReportMark",
    "Review",
    "Role",
    "SaveKey",
    "SavedView",
    "School",
    "SchoolYear",
    "Session",
    "Sheet",
    "SheetItem",
    "Skill",
    "Standing",
    "SupportStanding",
    "Teaching",
    "Term",
    "User",
    "UserSession",
]
