"""Rows of the actor's own school, and what the actor may do with them."""

from datetime import date
from typing import TypeVar

from django.db.models import Model, QuerySet
from django.utils.formats import date_format

from tracker.access.permissions import may
from tracker.access.viewer import Viewer
from tracker.actions.errors import OutOfScope
from tracker.models import School

Row = TypeVar("Row", bound=Model)


def demand(by: Viewer, *rights: str) -> None:
    """Any one of the rights will do."""
    if not any(may(by, right) for right in rights):
        raise OutOfScope


def hold_school(by: Viewer) -> School:
    """One change of the roster at a time in a school, so that what was looked up stays true until it is written."""
    return School.objects.select_for_update(no_key=True).get(pk=by.school.pk)


def reach(rows: QuerySet[Row], public_id: str) -> Row:
    row = rows.filter(public_id=public_id).first()
    if row is None:
        raise OutOfScope
    return row


def written(day: date) -> str:
    """A day as it stands in a sentence: the month as a word, so that no order of figures can be mistaken."""
    return date_format(day, "j F Y")
