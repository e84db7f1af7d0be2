"""The school's own data as CSV files that load again, and that no spreadsheet takes for formulas."""

import csv
import unicodedata
from collections.abc import Iterator
from typing import Any, Protocol

from django.db.models import Q
from django.http import Http404
from django.utils.translation import gettext_lazy as _

from tracker.access.permissions import may
from tracker.access.viewer import Viewer, current
from tracker.models import Attempt, Enrolment

CHOICES = {"roster": _("pupils and classes"), "scores": _("scores")}
ROSTER_HEAD = ("school reference", "given name", "family name", "class", "grade", "joined on")
SCORES_HEAD = (
    "school reference", "given name", "family name", "class", "skill", "date", "sheet", "digits correct",
    "digits wrong", "digits omitted", "seconds", "status", "setting", "mode", "confirmed",
)  # fmt: skip
FORMULA_STARTS = frozenset("=+-@|\t\r\n")


class Writable(Protocol):
    def write(self, text: str) -> Any: ...


def write_csv(viewer: Viewer, kind: str, out: Writable) -> None:
    if not may(viewer, "load-data"):
        raise Http404
    head, rows = (ROSTER_HEAD, _roster(viewer)) if kind == "roster" else (SCORES_HEAD, _scores(viewer))
    # The mark at the start tells spreadsheet programs that names are in UTF-8.
    out.write("\ufeff")
    writer = csv.writer(out)
    writer.writerow(head)
    for row in rows:
        writer.writerow([safe_cell(value) for value in row])


def safe_cell(value: Any) -> Any:
    """Text that a spreadsheet would run as a formula gets one leading apostrophe; numbers stay numbers."""
    if value is None:
        return ""
    return f"'{value}" if isinstance(value, str) and _like_a_formula(value) else value


def bare_cell(text: str) -> str:
    """The text without that apostrophe: `bare_cell(safe_cell(text))` is the text, whatever it is."""
    return text[1:] if text.startswith("'") and _like_a_formula(text) else text


def _like_a_formula(text: str) -> bool:
    """Spreadsheets look past unseen signs and blanks, and some read the wide forms of East Asian keyboards too."""
    seen = (sign for sign in text if sign in FORMULA_STARTS or not _is_passed_over(sign))
    return unicodedata.normalize("NFKC", next(seen, " ")) in FORMULA_STARTS


def _is_passed_over(sign: str) -> bool:
    return sign == "'" or unicodedata.category(sign) in ("Cf", "Cc", "Zs")


def _roster(viewer: Viewer) -> Iterator[tuple[Any, ...]]:
    places = Enrolment.objects.filter(current(viewer.today), school=viewer.school).select_related(
        "pupil", "class_group"
    )
    for place in places.order_by("class_group__name", "pupil__sort_name"):
        pupil = place.pupil
        yield (
            pupil.school_ref, pupil.given_name, pupil.family_name, place.class_group.name, place.grade,
            pupil.joined_on.isoformat(),
        )  # fmt: skip


def _scores(viewer: Viewer) -> Iterator[tuple[Any, ...]]:
    kept = Q(status__in=["done", "stopped", "absent"])
    attempts = Attempt.objects.filter(kept, school=viewer.school).select_related(
        "pupil", "class_group", "skill", "sheet"
    )
    for one in attempts.order_by("taken_on", "pupil__sort_name", "pk").iterator(chunk_size=2_000):
        yield (
            one.pupil.school_ref, one.pupil.given_name, one.pupil.family_name,
            one.class_group.name if one.class_group else "", one.skill.key, one.taken_on.isoformat(),
            one.sheet.code if one.sheet else "", one.correct, one.wrong, one.omitted, one.seconds, one.status,
            one.setting, one.mode, "yes" if one.confirmed else "",
        )  # fmt: skip
