from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.observed import MARK, check, weekly
from tracker.measures.mastery import first_mastery, first_secure, kept, secure_at
from tracker.measures.observations import Observation, pooled_accuracy
from tracker.measures.rules import MEASURES_VERSION, Rules
from tracker.measures.scoring import score_digits

FIELDS = {item.name: item for item in fields(Rules)}


def test_version_is_text():
    assert MEASURES_VERSION == "1"


def test_every_rule_states_unit_and_range():
    for name, item in FIELDS.items():
        assert item.metadata["unit"], name
        assert ("options" in item.metadata) != ({"low", "high"} <= set(item.metadata)), name


def test_defaults_are_those_that_were_decided():
    rules = Rules()
    named = {
        "accuracy_gate": 0.90, "pool": 3, "few_checks": 3, "secure_rule": "chance", "chance_at_mark": 0.90,
        "running_checks": 2, "kept_after_days": 28, "kept_rate_share": 0.80, "silent_after_break_days": 14,
        "doubt_sds": 3, "gap_checks": 3, "gap_twin_days": 42, "gap_twin_accuracy": 0.85, "gap_points": 0.25,
        "no_check_weeks": 3, "class_share": 0.5, "rise_again_checks": 8, "copying_ceiling": 0.80,
        "low_accuracy": 0.88, "low_accuracy_checks": 4, "low_accuracy_from": 8, "low_accuracy_gain": 0.02,
        "low_accuracy_sds": 1.64, "accuracy_dispersion": 1.6,
    }  # fmt: skip
    assert {name: rules.as_mapping()[name] for name in named} == named


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("pool", 0, "pool is 0, but allowed is a whole number from 1 to 12 [checks]."),
        ("pool", 3.0, "pool is 3.0, but allowed is a whole number from 1 to 12 [checks]."),
        ("pool", True, "pool is True, but allowed is a whole number from 1 to 12 [checks]."),
        ("accuracy_gate", "0.9", "accuracy_gate is '0.9', but allowed is a number from 0.5 to 1.0 [share]."),
        ("accuracy_gate", 90, "accuracy_gate is 90, but allowed is a number from 0.5 to 1.0 [share]."),
        ("accuracy_gate", float("nan"), "accuracy_gate is nan, but allowed is a number from 0.5 to 1.0 [share]."),
        ("secure_rule", "lucky", "secure_rule is 'lucky', but allowed is chance or running."),
        ("secure_rule", None, "secure_rule is None, but allowed is chance or running."),
    ],
)
def test_from_mapping_names_field_and_what_is_allowed(name, value, message):
    with pytest.raises(ValueError, match=r"^") as raised:
        Rules.from_mapping({name: value})
    assert str(raised.value) == message


def test_from_mapping_refuses_an_unknown_name():
    with pytest.raises(ValueError, match=r"^acuracy_gate is no rule; allowed are accuracy_gate, pool, "):
        Rules.from_mapping({"acuracy_gate": 0.9})


@given(st.data())
def test_as_mapping_round_trips(data):
    changed = {}
    for name, item in FIELDS.items():
        about = item.metadata
        if about["kind"] == "choice":
            changed[name] = data.draw(st.sampled_from(about["options"]))
        elif about["kind"] == "whole":
            changed[name] = data.draw(st.integers(about["low"], about["high"]))
        else:
            changed[name] = data.draw(st.floats(about["low"], about["high"]))
    rules = Rules.from_mapping(changed)
    assert rules.as_mapping() == changed
    assert Rules.from_mapping(rules.as_mapping()) == rules


# One test for each open choice.


def test_choice_leading_zeros_are_stripped():
    strip = {"strip": True, "wrong": False}
    by_default = score_digits("8", "08", strip_leading_zeros=strip[Rules().leading_zeros])
    as_errors = score_digits("8", "08", strip_leading_zeros=strip[Rules(leading_zeros="wrong").leading_zeros])
    assert (by_default.correct, by_default.wrong) == (1, 0)
    assert as_errors.wrong == 1


def test_choice_skipped_digits_are_no_errors():
    seen = [check(1, 18, 1, omitted=1)]
    assert pooled_accuracy(seen) == 18 / 19
    assert pooled_accuracy(seen, rules=Rules(skipped_digits="wrong")) == 18 / 20
    skipping = weekly(60, 60, 60, omitted=6)
    assert secure_at(skipping, MARK).met is True
    assert secure_at(skipping, MARK, rules=Rules(skipped_digits="wrong")).pooled_accuracy == 60 / 66


def test_choice_value_exactly_on_the_mark_counts():
    seen = weekly(40, 40, 40)
    running = Rules(secure_rule="running")
    assert secure_at(seen, MARK, rules=running).met is True
    assert secure_at(seen, MARK, rules=replace(running, exactly_on_mark="below")).met is False


def test_choice_missing_week_neither_counts_nor_breaks():
    # facts of the trade, section 3: the sources leave this open
    met = [True, None, True]
    assert first_mastery(met, 2) == 2
    assert first_mastery(met, 2, missing="break") is None
    seen = [check(1), check(2, 0, status="absent", seconds=None), check(3)]
    running = Rules(secure_rule="running")
    assert secure_at(seen, MARK, rules=running).met is True
    assert secure_at(seen, MARK, rules=replace(running, missing_in_run="break")).met is False


def test_choice_a_row_still_due_never_breaks_a_run():
    seen = [check(1), check(2, 0, status="due", seconds=None), check(3)]
    assert secure_at(seen, MARK, rules=Rules(secure_rule="running", missing_in_run="break")).met is True


@pytest.mark.parametrize(("rule", "first"), [("chance", 1), ("running", 2)])
def test_choice_event_is_the_last_check_of_the_run(rule, first):
    seen = weekly(60, 60, 60) if rule == "chance" else weekly(39, 60, 60)
    last_on = 3
    rules = Rules(secure_rule=rule)
    assert first_secure(seen, MARK, rules=rules).on == check(last_on).on
    assert first_secure(seen, MARK, rules=replace(rules, secure_event="first")).on == check(first).on


def test_choice_secure_rule():
    seen = weekly(40, 41, 42)
    assert secure_at(seen, MARK).met is False
    assert secure_at(seen, MARK, rules=Rules(secure_rule="running")).met is True
    assert secure_at(seen, MARK, rules=Rules(secure_rule="running", running_checks=4)).met is False


def test_choice_length_of_break_that_silences():
    weak = [check(week, 10) for week in (8, 9)]
    weekend = [(check(8).on, check(8).on)]
    asked = {"on": check(9).on, "breaks": weekend}
    assert kept(weak, MARK, check(1).on, **asked).status == "slipped"
    assert kept(weak, MARK, check(1).on, **asked, rules=Rules(silent_break_length_days=1)).status == "waiting"


def test_choice_pool_sets_how_many_checks_decide():
    seen: list[Observation] = weekly(60, 60)
    assert secure_at(seen, MARK).met is False
    assert secure_at(seen, MARK, rules=Rules(pool=2)).met is True
