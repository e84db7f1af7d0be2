import json

from tests.measures.observed import check, day
from tracker.measures.evidence import ClassWide, LowAccuracy, NoRecentCheck, plain
from tracker.measures.flags import regrouping_gap


def test_evidence_is_numbers_and_iso_dates():
    found = LowAccuracy(0.7, 0.78, 0.71, 70, 100, (day(1), day(2)))
    assert found.as_dict() == {
        "accuracy": 0.7, "upper": 0.78, "before": 0.71, "right": 70, "total": 100,
        "dates": ["2026-09-08", "2026-09-15"],
    }  # fmt: skip


def test_evidence_of_every_kind_survives_json():
    skill = [check(week, 20, 20) for week in (1, 2, 3)]
    twin = [check(week, 40, 1) for week in (1, 2, 3)]
    found = [
        regrouping_gap(skill, twin, on=day(3)),
        LowAccuracy(0.7, 0.78, 0.71, 70, 100, (day(1),)),
        NoRecentCheck(day(1), 3),
        ClassWide(16, 20, 28),
    ]
    for one in found:
        assert json.loads(json.dumps(one.as_dict())) == one.as_dict()


def test_plain_goes_into_tuples():
    assert plain(((day(1), 2), None)) == [["2026-09-08", 2], None]
