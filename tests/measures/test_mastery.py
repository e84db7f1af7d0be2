from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.observed import MARK, check, day, weekly
from tracker.measures.chance import chance_at_mark, rate_needed
from tracker.measures.mastery import FirstSecure, Missing, first_mastery, first_secure, secure_at
from tracker.measures.rules import Rules

NAN = float("nan")
RUNNING = Rules(secure_rule="running")


# Facts of the trade, section 3 (custom, no source): mark 41, two running.
@pytest.mark.parametrize(
    ("scores", "needed", "index"),
    [
        ([41, 38, 42, 41], 2, 3),
        ([41, 40, 41], 2, None),
        ([41, 42, 43, 44], 2, 1),  # the first run, and its last check
        ([41, None, 42], 2, 2),
        ([41, NAN, 42], 2, 2),
        ([41, None, 40, 42], 2, None),
        ([None, None], 1, None),
        ([], 1, None),
        ([41], 1, 0),
    ],
)
def test_first_mastery(scores, needed, index):
    met = [score if score is None or score != score else score >= 41 for score in scores]
    assert first_mastery(met, needed) == index


def test_first_mastery_by_other_choices():
    met = [False, True, True, None, True]
    assert first_mastery(met, 3) == 4
    assert first_mastery(met, 3, event="first") == 1
    assert first_mastery(met, 3, missing="break") is None


@pytest.mark.parametrize("needed", [0, -1])
def test_first_mastery_refuses_an_empty_run(needed):
    with pytest.raises(ValueError, match="at least one check"):
        first_mastery([True], needed)


MET = st.lists(st.sampled_from([True, False, None]), max_size=15)


@given(MET, st.integers(1, 4))
def test_first_mastery_equals_a_search_of_every_window(met, needed):
    sat = [index for index, value in enumerate(met) if value is not None]
    ends = [
        sat[end] for end in range(needed - 1, len(sat)) if all(met[index] for index in sat[end - needed + 1 : end + 1])
    ]
    assert first_mastery(met, needed) == (ends[0] if ends else None)


@given(MET, st.integers(1, 4), st.data())
def test_first_mastery_never_comes_earlier_by_a_worse_score(met, needed, data):
    good = [index for index, value in enumerate(met) if value]
    if not good:
        return
    worse = [*met]
    worse[data.draw(st.sampled_from(good))] = False
    before, after = first_mastery(met, needed), first_mastery(worse, needed)
    assert after is None or (before is not None and after >= before)


def test_secure_at_a_little_over_what_is_needed():
    needed = rate_needed([2, 2, 2], 20)
    assert 23 < needed < 24  # worked out: 20 + 1.2816 x sqrt(1.3 (20 / 2 + 0.018 x 400) / 3)
    assert needed == pytest.approx(20 + 1.2815515655 * (1.3 * (10 + 7.2) / 3) ** 0.5)
    answer = secure_at(weekly(47, 48, 47), MARK)
    assert answer.met is True
    assert (answer.mean_rate, answer.pooled_accuracy, answer.checks, answer.missing) == (142 / 6, 1.0, 3, ())
    assert answer.chance == chance_at_mark(142 / 6, [2, 2, 2], 20, rules=Rules())
    assert answer.chance > 0.9


def test_secure_at_says_what_is_missing():
    assert secure_at([], MARK).missing == (Missing("timed-checks", 0, 3),)
    assert secure_at(weekly(60, 60), MARK).missing == (Missing("timed-checks", 2, 3),)
    slow = secure_at(weekly(40, 40, 40), MARK)
    assert slow.missing == (Missing("rate", 20, rate_needed([2, 2, 2], 20)),)
    assert slow.chance == 0.5
    assert secure_at(weekly(60, 60, 60, wrong=6), MARK).missing == (Missing("accuracy", 60 / 66, 0.95),)
    both = secure_at(weekly(30, 30, 30, wrong=6), MARK)
    assert [one.code for one in both.missing] == ["accuracy", "rate"]
    assert secure_at(weekly(39, 41), MARK, rules=RUNNING).missing == (Missing("running", 1, 2),)


def test_secure_at_pools_the_last_three_only():
    assert secure_at(weekly(0, 60, 60, 60, wrong=1), MARK).met is True
    # two errors in one check are few over three
    assert secure_at([check(1, 60), check(2, 60), check(3, 58, 5)], MARK).met is True


def test_secure_at_leaves_out_what_is_not_timed_written_school_work():
    seen = [*weekly(60, 60), check(3, 60, place="away"), check(4, 60, mode="oral"), check(5, 60, status="stopped")]
    assert secure_at([*seen, check(6, 60, seconds=None)], MARK).checks == 2


def test_secure_at_stopped_work_enters_accuracy_not_rate():
    seen = [*weekly(60, 60, 60), check(4, 5, 10, status="stopped")]
    answer = secure_at(seen, MARK)
    assert (answer.mean_rate, answer.pooled_accuracy) == (30.0, 125 / 135)
    assert answer.met is False


def test_secure_at_with_checks_of_other_length():
    seen = [check(1, 60), check(2, 30, seconds=60), check(3, 60)]
    answer = secure_at(seen, MARK)
    assert answer.mean_rate == 30.0
    assert answer.rate_needed == rate_needed([2, 1, 2], 20)


def test_secure_at_untimed_or_without_a_rate_goes_by_accuracy():
    untimed = weekly(20, 19, 20, seconds=None)
    assert secure_at(untimed, MARK, timed=False).met is True
    assert secure_at(untimed, replace(MARK, rate=None)).met is True
    assert secure_at(untimed, MARK).met is False
    assert secure_at(untimed[:2], MARK, timed=False).missing == (Missing("checks", 2, 3),)


def test_first_secure_is_never_undone():
    seen = weekly(60, 60, 60)
    first = FirstSecure(day(3), 2)
    assert first_secure(seen, MARK) == first
    assert first_secure([*seen, *weekly(0, 5, 0, wrong=9, first=4)], MARK) == first
    assert first_secure(weekly(40, 40, 40), MARK) is None
    assert first_secure([], MARK) is None


def test_first_secure_not_before_a_day():
    assert first_secure(weekly(60, 60, 60, 60, 60), MARK, not_before=day(5)).on == day(5)


COUNTS = st.lists(st.tuples(st.integers(0, 70), st.integers(0, 8)), max_size=12)
RULES = st.sampled_from([Rules(), RUNNING, Rules(secure_rule="running", running_checks=3), Rules(pool=4)])


def observed(counts):
    return [check(week, correct, wrong) for week, (correct, wrong) in enumerate(counts, 1)]


@given(COUNTS, RULES)
def test_first_secure_is_the_first_prefix_that_is_secure(counts, rules):
    seen = observed(counts)
    ends = [end for end in range(len(seen)) if secure_at(seen[: end + 1], MARK, rules=rules).met]
    assert first_secure(seen, MARK, rules=rules) == (FirstSecure(day(ends[0] + 1), ends[0]) if ends else None)


@given(COUNTS, RULES)
def test_first_secure_by_runs_equals_first_mastery(counts, rules):
    if rules.secure_rule != "running":
        return
    met = [correct >= 40 and correct + wrong > 0 and correct / (correct + wrong) >= 0.95 for correct, wrong in counts]
    first = first_secure(observed(counts), MARK, rules=rules)
    assert (first.index if first else None) == first_mastery(met, rules.running_checks)


@given(COUNTS.filter(bool), RULES, st.data())
def test_first_secure_never_comes_earlier_by_a_worse_score(counts, rules, data):
    place = data.draw(st.integers(0, len(counts) - 1))
    correct, wrong = counts[place]
    worse = [*counts]
    worse[place] = (data.draw(st.integers(0, correct)), data.draw(st.integers(wrong, 30)))
    before, after = (first_secure(observed(each), MARK, rules=rules) for each in (counts, worse))
    assert after is None or (before is not None and after.index >= before.index)


@given(COUNTS, RULES, st.randoms())
def test_first_secure_whatever_the_order(counts, rules, random):
    seen = observed(counts)
    assert first_secure(random.sample(seen, len(seen)), MARK, rules=rules) == first_secure(seen, MARK, rules=rules)


@given(st.permutations([check(1, 60), check(1, 30, 9), check(1, 50, 1), check(2, 58), check(2, 61)]), RULES)
def test_first_secure_whatever_the_order_within_a_day(shuffled, rules):
    ordered = sorted(shuffled, key=lambda seen: (seen.on, seen.correct))
    assert first_secure(shuffled, MARK, rules=rules) == first_secure(ordered, MARK, rules=rules)


@given(COUNTS, RULES)
def test_chance_and_accuracy_are_shares(counts, rules):
    answer = secure_at(observed(counts), MARK, rules=rules)
    assert answer.chance is None or 0 <= answer.chance <= 1
    assert answer.pooled_accuracy is None or 0 <= answer.pooled_accuracy <= 1
    assert answer.met == (not answer.missing)


def test_a_check_with_nothing_written_keeps_its_place():
    seen = [check(1, 60), check(2, 60, 5), check(3, 60), check(4, 0)]
    assert secure_at(seen, MARK).pooled_accuracy == 120 / 125
