from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.observed import MARK, check, day, weekly
from tracker.measures import ladder
from tracker.measures.mastery import Missing, first_secure
from tracker.measures.rules import Rules
from tracker.measures.stages import LABELS, LETTERS, STAGES, stage


def test_words_and_letters_stand_for_every_stage():
    assert STAGES == ladder.STAGES
    assert [LETTERS[one] for one in STAGES] == ["", "", "L", "Q", "S", "K"]
    assert [LABELS[one] for one in STAGES] == [
        "not started", "too few checks", "learning", "getting quicker", "secure", "kept",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("observations", "code", "letter"),
    [
        ([], "not-started", ""),
        ([check(1, 0, status="absent", seconds=None), check(2, 0, status="due", seconds=None)], "not-started", ""),
        ([check(1, 60, place="away")] * 4, "not-started", ""),
        ([check(1, 60, mode="tiles")] * 4, "not-started", ""),
        (weekly(60, 60), "few", ""),
        (weekly(20, 20, 20, wrong=3), "learning", "L"),  # 87 %
        (weekly(18, 18, 18, wrong=2), "quicker", "Q"),  # exactly 90 %
        (weekly(0, 0, 0), "learning", "L"),  # nothing written says nothing of the method
        (weekly(40, 40, 40), "quicker", "Q"),
        (weekly(60, 60, 60), "secure", "S"),
        (weekly(60, 60, 60, 10, 10, wrong=0), "secure", "S"),
        ([*weekly(60, 60, 60), check(7, 34)], "kept", "K"),
        ([*weekly(60, 60, 60), check(6, 34)], "secure", "S"),  # three weeks later is too soon
        (weekly(20, 20, 20, wrong=0, seconds=None), "quicker", "Q"),
    ],
)
def test_stage(observations, code, letter):
    answer = stage(observations, MARK)
    assert (answer.stage, answer.letter, answer.label) == (code, letter, LABELS[code])


def test_stage_gives_the_numbers_it_rests_on():
    answer = stage([*weekly(30, 36, 38, wrong=1), check(4, 36, 3, seconds=None)], MARK)
    assert (answer.checks, answer.timed_checks) == (4, 3)
    assert (answer.last_rate, answer.mean_rate) == (19.0, 104 / 6)
    assert (answer.last_accuracy, answer.pooled_accuracy) == (36 / 39, 110 / 115)
    assert 0 < answer.chance_at_mark < 0.5
    assert answer.missing == (Missing("rate", 104 / 6, answer.rate_needed),)
    assert (answer.secure_on, answer.kept_on) == (None, None)


def test_stage_stays_after_slipping_back():
    slipped = [*weekly(60, 60, 60), check(7, 34), *weekly(5, 5, 5, 5, wrong=9, first=8)]
    answer = stage(slipped, MARK)
    assert (answer.stage, answer.secure_on, answer.kept_on) == ("kept", day(3), day(7))
    assert stage([*weekly(60, 60, 60), *weekly(5, 5, 5, wrong=9, first=7)], MARK).stage == "secure"


def test_stage_keeps_what_was_recorded_under_an_earlier_mark():
    slow = weekly(20, 20, 20)
    harder = replace(MARK, rate=60)
    answer = stage(slow, harder, secure_on=day(1))
    assert (answer.stage, answer.secure_on, answer.missing) == ("secure", day(1), ())
    assert stage([], harder, secure_on=day(1)).stage == "secure"
    assert stage([], harder, secure_on=day(1), kept_on=day(6)).stage == "kept"


def test_stage_shows_the_last_written_accuracy_beside_an_empty_check():
    answer = stage([*weekly(19, 19, wrong=1), check(3, 0)], MARK)
    assert (answer.last_rate, answer.last_accuracy) == (0.0, 0.95)


def test_stage_without_a_mark_is_never_secure():
    answer = stage(weekly(90, 90, 90), None)
    assert (answer.stage, answer.secure_on, answer.missing, answer.chance_at_mark) == ("quicker", None, (), None)


UNTIMED = weekly(20, 19, 20, seconds=None)


@pytest.mark.parametrize(
    ("material", "code", "secure_on"),
    [
        (False, "learning", None),
        (True, "secure", day(3)),
        (day(1), "secure", day(3)),
        (day(3), "secure", day(3)),
        (day(5), "secure", day(5)),
    ],
)
def test_stage_without_timed_checks_needs_the_written_material(material, code, secure_on):
    answer = stage(UNTIMED, MARK, no_timed=True, written_material=material)
    assert (answer.stage, answer.secure_on) == (code, secure_on)


def test_stage_without_timed_checks_says_what_is_missing():
    assert stage(UNTIMED[:2], MARK, no_timed=True).missing == (
        Missing("checks", 2, 3),
        Missing("written-material", 0, 1),
    )


def test_stage_without_timed_checks_is_kept_by_accuracy():
    later = [*UNTIMED, check(7, 20, 1, seconds=None)]
    answer = stage(later, MARK, no_timed=True, written_material=True)
    assert (answer.stage, answer.kept_on) == ("kept", day(7))


def test_stage_with_written_material_recorded_while_accuracy_was_low():
    seen = [*UNTIMED, *weekly(10, 10, 10, wrong=9, first=4, seconds=None)]
    assert stage(seen, MARK, no_timed=True, written_material=day(6)).stage == "learning"


def test_stage_follows_the_gate_of_the_school():
    seen = weekly(18, 18, 18, wrong=2)
    assert stage(seen, MARK, rules=Rules(accuracy_gate=0.95)).stage == "learning"
    assert stage(seen, MARK, rules=Rules(few_checks=4)).stage == "few"


COUNTS = st.lists(st.tuples(st.integers(0, 70), st.integers(0, 8)), max_size=12)


def observed(counts, first=1):
    return [check(first + number, correct, wrong) for number, (correct, wrong) in enumerate(counts)]


@given(COUNTS, st.randoms())
def test_stage_whatever_the_order(counts, random):
    seen = observed(counts)
    assert stage(random.sample(seen, len(seen)), MARK) == stage(seen, MARK)


@given(COUNTS, COUNTS)
def test_stage_never_falls_back_from_secure(counts, more):
    before = stage(observed(counts), MARK)
    after = stage([*observed(counts), *observed(more, first=len(counts) + 1)], MARK)
    if before.secure_on:
        assert STAGES.index(after.stage) >= STAGES.index(before.stage)
        assert after.secure_on == before.secure_on


@given(COUNTS)
def test_stage_agrees_with_first_secure(counts):
    first = first_secure(observed(counts), MARK)
    assert stage(observed(counts), MARK).secure_on == (first.on if first else None)


@given(COUNTS, COUNTS)
def test_stage_ignores_what_was_done_away(counts, away):
    there = [replace(seen, place="away") for seen in observed(away)]
    assert stage([*observed(counts), *there], MARK) == stage(observed(counts), MARK)
