"""A school with an office that loads files, for tests of imports."""

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from tests import builders as make
from tracker.access.viewer import Viewer
from tracker.actions.imports.loading import Plan, load, preview
from tracker.actions.imports.undoing import undo
from tracker.models import ClassGroup, ImportBatch, Pupil, School

ON = make.TODAY
KEY = "sub-2d-regroup"
SCORES_HEAD = "reference,skill,date,digits correct,digits wrong,seconds"
ROSTER_HEAD = "reference,given name,family name,class,grade"


@dataclass(frozen=True)
class Office:
    school: School
    group: ClassGroup
    by: Viewer

    def pupil(self, given: str = "Anouk", family: str = "Verhaegen", **fields: Any) -> Pupil:
        return make.make_pupil(self.group, given, family, **fields)

    def preview(self, content: str | bytes, kind: str = "scores", *, on: date = ON) -> Plan:
        return preview(kind=kind, content=as_bytes(content), by=self.by, on=on)

    def load(self, content: str | bytes, kind: str = "scores", *, on: date = ON) -> ImportBatch | None:
        return load(kind=kind, content=as_bytes(content), file_name="class.csv", by=self.by, on=on)

    def undo(self, batch: ImportBatch | None, *, on: date = ON) -> None:
        assert batch is not None
        undo(batch_id=batch.public_id, by=self.by, on=on)

    def faults(self, content: str | bytes, kind: str = "scores", *, on: date = ON) -> list[str]:
        return [str(fault) for fault in self.preview(content, kind, on=on).faults]


def make_office(**school: Any) -> Office:
    place = make.make_school(**school)
    return Office(place, make.make_class(place), make.viewer(make.make_member(place, "office"), place))


def as_bytes(content: str | bytes) -> bytes:
    return content.encode() if isinstance(content, str) else content


def table(head: str, *rows: Iterable[Any]) -> str:
    """A CSV file: its head as written, each row as cells."""
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return f"{head}\n{out.getvalue()}"


def scores(*rows: Iterable[Any]) -> str:
    return table(SCORES_HEAD, *rows)
