import numpy as np
import pytest

from tracker.measures.simulated_checks import World, simulate_counts

PUPILS = 20_000


def counts(world=None, **other):
    asked = {"rate": 20, "minutes": 2, "checks": 6, "accuracy": 0.95, "pupils": PUPILS, "seed": 1}
    return simulate_counts(**(asked | other), world=world)


def test_counts_have_the_mean_and_accuracy_asked_for():
    correct, wrong = counts()
    assert correct.shape == wrong.shape == (PUPILS, 6)
    # 120,000 counts with a spread of about 22 %: a standard error of 0.06 %
    assert correct.mean() == pytest.approx(40, rel=0.004)
    assert correct.sum() / (correct.sum() + wrong.sum()) == pytest.approx(0.95, abs=0.002)


def test_counts_without_effects_are_poisson():
    correct, _ = counts(World(day=0, form=0))
    assert correct.var() == pytest.approx(40, rel=0.02)


def test_counts_carry_a_day_over_when_asked():
    apart, carried = (counts(World(day=0.5, form=0, carry=carry))[0] for carry in (0.0, 0.8))
    assert abs(np.corrcoef(apart[:, 0], apart[:, 1])[0, 1]) < 0.03
    assert np.corrcoef(carried[:, 0], carried[:, 1])[0, 1] > 0.4


def test_counts_on_hard_forms_are_lower():
    assert counts(World(hard_forms=1, harder=0.2))[0].mean() == pytest.approx(32, rel=0.004)


def test_counts_follow_their_seed():
    assert np.array_equal(counts(pupils=5)[0], counts(pupils=5)[0])
    assert not np.array_equal(counts(pupils=5)[0], counts(pupils=5, seed=2)[0])


def test_counts_of_the_always_right():
    assert counts(accuracy=1, pupils=50)[1].sum() == 0


@pytest.mark.parametrize("accuracy", [0, -0.5, 1.1])
def test_counts_refuse_what_is_no_share(accuracy):
    with pytest.raises(ValueError, match="Accuracy is a share"):
        counts(accuracy=accuracy)
