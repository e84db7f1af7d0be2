"""Standings as the product works them out, for tests of pages that read them."""

from tests.builders import NOW, TODAY
from tracker.actions import standings
from tracker.models import Attempt, Pupil


def settle(*pupils: Pupil) -> None:
    """Works out where these pupils stand from all that they sat."""
    for pupil in pupils:
        pairs = set(Attempt.objects.filter(pupil=pupil).values_list("pupil_id", "skill_id"))
        standings.refresh(school=pupil.school, pairs=pairs, on=TODAY, at=NOW)
