"""Who opened pages about a pupil: one row a user, pupil and day."""

from datetime import date

from django.db import transaction
from django.utils import timezone

from tracker.access.viewer import Viewer
from tracker.models import AccessRecord, Pupil


@transaction.atomic
def note_opened(*, pupil: Pupil, by: Viewer, on: date) -> None:
    """One statement, which does nothing from the second page of the day on."""
    row = AccessRecord(
        school_key=pupil.school_id,
        user_key=by.user.pk,
        pupil_key=pupil.public_id,
        on=on,
        first_at=timezone.now(),
    )
    AccessRecord.objects.bulk_create([row], ignore_conflicts=True)
