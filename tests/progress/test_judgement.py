from datetime import date, timedelta

import pytest

from tests.progress.test_standings import MARK, START, case, sat
from tracker.measures.marks import Mark
from tracker.measures.rules import Rules
from tracker.models import Flag, MasteryEvent
from tracker.progress.judgement import events, ground, may_raise, reasons, still_secure
from tracker.progress.standings import Case
from tracker.queries.whole import Reached

RULES = Rules()
GOOD, WEAK = (60, 0), (24, 16)
AFTER = START + timedelta(weeks=20)


def of(*scores, pupil=1, **fields):
    rows = [sat(week, *score, pupil_id=pupil) for week, score in enumerate(scores)]
    return Case(1, pupil, 2, rows, MARK, **fields)


def judged(*cases, twins=None, class_size=30):
    answers = {one.pair: one.answer(RULES) for one in cases}
    found = reasons(cases, answers, twins or {}, class_size=class_size, rules=RULES, on=AFTER)
    return [(one.case.pupil_id, one.kind, one.checks) for one in found]


def told(one):
    return [(event.kind, event.on, event.attempt_id) for event in events([one], {one.pair: one.answer(RULES)})]


def test_days_of_becoming_secure_and_being_kept_name_the_deciding_attempt():
    assert told(of(*[GOOD] * 8)) == [
        ("secure", START + timedelta(weeks=2), 3),
        ("kept", START + timedelta(weeks=6), 7),
    ]


def test_days_on_record_are_not_told_again():
    first = Reached(START + timedelta(weeks=2), None)

    assert [kind for kind, _, _ in told(of(*[GOOD] * 8, reached=first))] == ["kept"]
    assert told(of(*[GOOD] * 8, reached=Reached(START, AFTER))) == []


def test_skill_without_a_mark_tells_nothing():
    assert told(case(*(sat(week, *GOOD) for week in range(8)), mark=None)) == []


def test_work_recorded_as_written_has_no_deciding_attempt():
    rows = [sat(week, 40, 0, seconds=None) for week in range(3)]
    day = START + timedelta(weeks=2, days=3)
    one = case(*rows, no_timed=True, reached=Reached(None, None, day))

    assert told(one) == [("secure", day, None)]


def test_low_accuracy_is_a_reason_once_eight_checks_show_it():
    assert judged(of(*[WEAK] * 7)) == []
    assert judged(of(*[WEAK] * 8)) == [(1, "accuracy-low", 8)]


def test_gap_needs_the_twin():
    one = of(*[WEAK] * 3)
    twin = case(*(sat(week, 60, 1) for week in range(3))).observations

    assert ground(Flag.Kind.REGROUPING, one, twin, rules=RULES, on=START + timedelta(weeks=2)).gap > 0.25
    assert ground(Flag.Kind.REGROUPING, one, [], rules=RULES, on=START + timedelta(weeks=2)) is None


def test_checks_before_teaching_began_show_no_gap():
    began = {"phase_id": 7, "phase_began": START + timedelta(weeks=1), "phase_reason": "teaching"}
    rows = [sat(0, *WEAK), *(sat(week, *WEAK, **began) for week in (1, 2))]
    twin = case(*(sat(week, 60, 1) for week in range(3))).observations

    assert ground(Flag.Kind.REGROUPING, case(*rows), twin, rules=RULES, on=START + timedelta(weeks=2)) is None


def test_ground_is_looked_for_as_it_stood_on_the_day():
    one = of(*[WEAK] * 8)

    assert ground(Flag.Kind.ACCURACY, one, [], rules=RULES, on=START + timedelta(weeks=6)) is None
    assert ground(Flag.Kind.ACCURACY, one, [], rules=RULES, on=START + timedelta(weeks=7)) is not None


@pytest.mark.parametrize(("weak", "flagged"), [(3, 3), (4, 0)])
def test_nobody_is_flagged_for_what_most_of_the_class_needs(weak, flagged):
    cases = [of(*[WEAK if pupil <= weak else GOOD] * 8, pupil=pupil) for pupil in range(1, 7)]

    assert len(judged(*cases, class_size=6)) == flagged


def raised(state, weeks_ago, kind="accuracy-low"):
    return Flag(pupil_id=1, skill_id=2, kind=kind, state=state, raised_on=START + timedelta(weeks=15 - weeks_ago))


@pytest.mark.parametrize(
    ("earlier", "may"),
    [
        ([], True),
        ([raised("open", 12)], False),
        ([raised("acknowledged", 12)], False),
        ([raised("closed", 7)], False),
        ([raised("closed", 8)], True),
        ([raised("closed", 12), raised("closed", 3)], False),
        ([raised("open", 1, kind="regrouping-gap")], True),
    ],
    ids=["first", "stands", "seen", "seven checks", "eight checks", "latest counts", "other kind"],
)
def test_flag_rises_again_only_after_eight_new_checks(earlier, may):
    one = of(*[WEAK] * 16)
    answers = {one.pair: one.answer(RULES)}
    (reason,) = reasons([one], answers, {}, class_size=30, rules=RULES, on=AFTER)

    assert may_raise(reason, earlier, rules=RULES) is may


def event(kind, week, rate=20):
    return MasteryEvent(
        kind=kind, on=START + timedelta(weeks=week), mark_accuracy=0.95, mark_rate=rate, mark_source="s"
    )


def test_recorded_day_stands_on_the_scores_up_to_it():
    assert still_secure(event("secure", 2), of(*[GOOD] * 3), rules=RULES)
    assert not still_secure(event("secure", 2), of(GOOD, GOOD, (6, 0), GOOD, GOOD), rules=RULES)


def test_recorded_day_is_judged_by_its_own_mark():
    higher = Mark(0.95, 60, "school", 5, date.min)
    one = Case(1, 1, 2, of(*[GOOD] * 3).rows, higher)

    assert still_secure(event("secure", 2), one, rules=RULES)
    assert not still_secure(event("secure", 2, rate=40), one, rules=RULES)


def test_being_kept_needs_its_check_and_a_day_of_becoming_secure():
    secure = Reached(START + timedelta(weeks=2), None)

    assert still_secure(event("kept", 6), of(*[GOOD] * 7, reached=secure), rules=RULES)
    assert not still_secure(event("kept", 6), of(*[GOOD] * 6, (6, 0), reached=secure), rules=RULES)
    assert not still_secure(event("kept", 6), of(*[GOOD] * 7), rules=RULES)
