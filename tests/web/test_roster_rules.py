"""The thresholds behind stages and flags."""

from dataclasses import fields

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.roster_scene import OWN_ONLY, as_role, errors, send, text, told, value_of, who_sees
from tracker.measures.rules import DEFAULT_RULES, Rules
from tracker.progress.rules import rules_of
from tracker.web.forms.rules import CHOICES, LABELS, UNITS, RulesForm

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return as_role(school)


PATH = "/roster/school/rules/"


def typed(**changes):
    """All fields as the page shows them, some of them changed."""
    form = RulesForm(rules=DEFAULT_RULES.as_mapping())
    return {**{name: field.initial for name, field in form.fields.items()}, **changes}


def test_rules_are_changed_and_shown(school, office):
    send(office, PATH, "set-rules", **typed(pool="4", accuracy_gate="92.5", secure_rule="running"))
    school.refresh_from_db()
    rules = rules_of(school)

    assert school.rules == {"pool": 4, "accuracy_gate": 0.925, "secure_rule": "running"}
    assert (rules.pool, rules.accuracy_gate, rules.secure_rule) == (4, 0.925, "running")
    assert value_of(office.get(PATH), "set-rules-accuracy_gate") == "92.5"


def test_rules_sent_as_they_stand_change_nothing(school, office):
    send(office, PATH, "set-rules", **typed())
    school.refresh_from_db()

    assert school.rules == {}


def test_rules_all_as_they_came(school, office):
    school.rules = {"pool": 4}
    school.save()
    send(office, PATH, "reset-rules")
    school.refresh_from_db()

    assert school.rules == {}
    assert told(office, PATH) == ["All settings are as they came."]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"pool": "0"}, "Write a whole number from 1 to 12."),
        ({"pool": "2.5"}, "Write a whole number from 1 to 12."),
        ({"accuracy_gate": "40"}, "Write a number from 50 to 100."),
        ({"dispersion": "inf"}, "Write a number from 1 to 5."),
        ({"secure_rule": "luck"}, "Select a valid choice. luck is not one of the available choices."),
    ],
)
def test_rules_bad_field_gets_a_sentence_and_the_rest_is_kept(school, office, changes, sentence):
    response = send(office, PATH, "set-rules", **typed(no_check_weeks="5", **changes))
    school.refresh_from_db()

    assert (response.status_code, errors(response)) == (422, [sentence])
    assert value_of(response, "set-rules-no_check_weeks") == "5"
    assert school.rules == {}


def test_rules_every_setting_of_the_measures_has_words_unit_and_range(office):
    rules = fields(Rules)
    options = {one for rule in rules for one in rule.metadata.get("options", ())}

    assert set(LABELS) == {rule.name for rule in rules}
    assert set(CHOICES) == options
    assert set(UNITS) | {"choice"} == {rule.metadata["unit"] for rule in rules} | {"choice"}
    shown = [field.name for _title, group in RulesForm(rules=DEFAULT_RULES.as_mapping()).groups() for field in group]
    assert sorted(shown) == sorted(LABELS)
    assert "percent, from 50 to 100; 90 unless changed" in text(office.get(PATH))


def test_rules_are_hidden_from_strangers(school):
    assert who_sees(school, PATH) == OWN_ONLY


def test_rules_may_be_changed_by_the_coordinator(school):
    send(as_role(school, "coordinator"), PATH, "set-rules", **typed(pool="5"))
    school.refresh_from_db()

    assert school.rules == {"pool": 5}


@pytest.mark.parametrize("number", [0, 3])
def test_rules_asks_the_database_as_often_whatever_was_changed(school, office, number, django_assert_num_queries):
    school.rules = dict([("pool", 4), ("few_checks", 4), ("no_check_weeks", 4)][:number])
    school.save()
    with django_assert_num_queries(3):
        office.get(PATH)
