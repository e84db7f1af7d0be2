"""Undoes an import while nothing rests on it."""

from datetime import date

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.imports.roster_undone import undo_roster
from tracker.actions.imports.scores_undone import undo_scores
from tracker.actions.reach import demand, hold_school, reach
from tracker.actions.record import Change, note_change
from tracker.models import ImportBatch


@transaction.atomic
def undo(*, batch_id: str, by: Viewer, on: date) -> None:
    """Takes back what a file brought. Refused where a person has built on it."""
    demand(by, "load-data")
    hold_school(by)
    batch = reach(ImportBatch.objects.filter(school=by.school), batch_id)
    if batch.undone_at:
        raise Refused(_("This file was undone before."))
    if batch.kind == ImportBatch.Kind.SCORES:
        undo_scores(batch, by=by, on=on)
    else:
        undo_roster(batch)
    batch.undone_at = timezone.now()
    batch.save(update_fields=["undone_at"])
    note_change(Change("undo-import", "import", batch.public_id), by=by, on=on)
