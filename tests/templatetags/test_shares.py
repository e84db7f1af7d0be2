"""Shares as people read them."""

from decimal import Decimal

import pytest

from tracker.templatetags.shares import percent


@pytest.mark.parametrize(
    ("share", "shown"),
    [
        (Decimal("0.950"), "95 %"),
        (Decimal("0.925"), "92.5 %"),
        (0.95, "95 %"),
        (0.5, "50 %"),
        (1, "100 %"),
        (Decimal("0.9999"), "100 %"),
        (None, "–"),
    ],
)
def test_percent(share, shown):
    assert percent(share) == shown
