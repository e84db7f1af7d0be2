"""The demo is built all or nothing, and comes out the same every time."""

from datetime import date

import pytest
from django.db import transaction

from tracker.management.demo.builder import build
from tracker.models import Attempt, School, Standing

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 20)
FEW = ("PC-178", "PA-101", "PB-101", "PC-101", "PA-227", "PB-227")
COUNTS = ("pupil__school_ref", "skill__key", "taken_on", "status", "correct", "wrong", "seconds")


def test_two_builds_are_the_same():
    found = []
    for _time in range(2):
        with transaction.atomic():
            build(today=TODAY, say=lambda line: None, weeks=4, references=FEW)
            scores = sorted(Attempt.objects.values_list(*COUNTS), key=repr)
            stages = sorted(Standing.objects.values_list("pupil__school_ref", "skill__key", "stage", "is_current"))
            found.append((scores, stages))
            transaction.set_rollback(True)

    assert found[0] == found[1]
    assert {row[0] for row in found[0][0]} == set(FEW)


def test_build_that_fails_leaves_nothing(monkeypatch):
    def fail(*args, **options):
        raise OSError("interrupted")

    monkeypatch.setattr("tracker.management.demo.builder.enter_last_weeks", fail)
    with pytest.raises(OSError, match="interrupted"):
        build(today=TODAY, say=lambda line: None, weeks=4, references=FEW)

    assert School.objects.count() == 0
