"""An office at work in its school."""

from datetime import date

import pytest

from tests import builders
from tracker.actions.errors import Refused
from tracker.actions.rosters import PupilDetails
from tracker.models import ChangeRecord

DAY = date(2026, 9, 14)


def office_of(school):
    return builders.viewer(builders.make_member(school, "office", "Ottilie Brandt"), school)


def details(reference="L-1", given="Anouk", family="Verhaegen", **fields):
    return PupilDetails(school_ref=reference, given_name=given, family_name=family, **fields)


def refused(act, **arguments):
    """The field and the sentence with which the action refuses."""
    with pytest.raises(Refused) as caught:
        act(**arguments)
    return caught.value.field, caught.value.sentence


def recorded():
    return list(ChangeRecord.objects.values_list("action", flat=True))
