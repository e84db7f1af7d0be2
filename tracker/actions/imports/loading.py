"""Previews a file and loads it, all or nothing."""

import hashlib
from datetime import date

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.imports.faults import BadFile
from tracker.actions.imports.reading import read_file
from tracker.actions.imports.roster_file import RosterPlan, plan_roster
from tracker.actions.imports.roster_rows import write_roster
from tracker.actions.imports.scores_file import ScoresPlan, plan_scores
from tracker.actions.imports.scores_rows import write_scores
from tracker.actions.reach import demand, hold_school
from tracker.actions.record import Change, note_change
from tracker.models import ImportBatch, SchoolYear

LONGEST_NAME = 200

Plan = RosterPlan | ScoresPlan


def preview(*, kind: str, content: bytes, by: Viewer, on: date) -> Plan:
    """What loading this file would do; nothing is written. Raises Refused when it cannot be read at all."""
    demand(by, "load-data")
    try:
        file = read_file(content)
    except BadFile as bad:
        raise Refused(bad.sentence, field="file") from bad
    if kind == ImportBatch.Kind.SCORES:
        return plan_scores(file, school=by.school, on=on)
    # In the holidays the next year is prepared.
    year = SchoolYear.objects.filter(school=by.school, ends__gte=on).select_related("school").order_by("starts").first()
    if year is None:
        raise Refused(_("No school year holds today or is still to come. Add one before pupils."), field="file")
    return plan_roster(file, school=by.school, year=year, on=on)


@transaction.atomic
def load(*, kind: str, content: bytes, file_name: str, by: Viewer, on: date) -> ImportBatch | None:
    """Loads the whole file; None when it changes nothing. Raises Refused when anything in it is wrong."""
    demand(by, "load-data")
    # Two loads of one file at the same moment follow one another, so the second one finds all rows standing.
    hold_school(by)
    plan = preview(kind=kind, content=content, by=by, on=on)
    if plan.faults:
        raise Refused(_("The file was not loaded. %(fault)s") % {"fault": plan.faults[0]}, field="file")
    if not plan.changes_something:
        return None
    batch = _batch(plan, content, file_name, by=by, on=on)
    if isinstance(plan, RosterPlan):
        batch.trail = write_roster(plan, by=by, on=on)
    else:
        batch.trail = write_scores(plan, batch=batch, by=by, on=on)
    batch.save(update_fields=["trail"])
    after = {"kind": kind, "rows": batch.rows, "made": batch.made}
    note_change(Change("load-file", "import", batch.public_id, after=after), by=by, on=on)
    return batch


def _batch(plan: Plan, content: bytes, file_name: str, *, by: Viewer, on: date) -> ImportBatch:
    return ImportBatch.objects.create(
        school=by.school,
        kind=plan.kind,
        file_name=file_name[-LONGEST_NAME:],
        file_digest=hashlib.sha256(content).hexdigest(),
        rows=plan.rows,
        made=plan.rows - plan.same,
        same=plan.same,
        loaded_by=by.user,
        loaded_on=on,
        loaded_at=timezone.now(),
    )
