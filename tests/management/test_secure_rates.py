from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests import builders as make


def rates(*arguments):
    out = StringIO()
    call_command("secure_rates", *arguments, stdout=out)
    return out.getvalue().splitlines()


def shares(line):
    return [float(word.rstrip("%")) for word in line.split()[3:]]


def test_table_has_a_row_for_every_mark_and_true_rate():
    lines = rates("--pupils", "200", "--seed", "3")

    assert lines[0] == "Simulated, 200 pupils a row, 12 checks, seed 3"
    assert len(lines) == 2 + 21
    assert lines[2].split()[:3] == ["16", "2", "90%"]


def test_same_seed_prints_the_same_and_another_one_does_not():
    assert rates("--pupils", "200", "--seed", "3") == rates("--pupils", "200", "--seed", "3")
    assert rates("--pupils", "200", "--seed", "3") != rates("--pupils", "200", "--seed", "4")


def test_chance_rule_passes_few_below_the_mark_and_most_above_it():
    # The bars the rule was chosen by: at mark x minutes >= 60, at most 12 % of pupils at 90 % of the mark and at least
    # 82 % at 110 %
    lines = [line for line in rates("--pupils", "4000")[2:] if float(line.split()[0]) * float(line.split()[1]) >= 60]

    below = [shares(line)[0] for line in lines if line.split()[2] == "90%"]
    above = [shares(line)[0] for line in lines if line.split()[2] == "110%"]
    two_running = [shares(line)[1] for line in lines if line.split()[2] == "90%"]
    assert len(below) == len(above) == 3
    assert max(below) <= 12
    assert min(above) >= 82
    assert min(two_running) > 3 * max(below)


def test_schools_own_settings_can_be_used(db):
    school = make.make_school(rules={"chance_at_mark": 0.6})

    own, usual = (rates("--pupils", "500", *extra) for extra in (("--school", school.public_id), ()))

    assert shares(own[2])[0] > shares(usual[2])[0]
    with pytest.raises(CommandError, match="There is no school nowhere"):
        rates("--school", "nowhere")


@pytest.mark.parametrize("arguments", [("--pupils", "0"), ("--seed", "-1")])
def test_numbers_that_cannot_be_are_refused(arguments):
    with pytest.raises(CommandError):
        rates(*arguments)
