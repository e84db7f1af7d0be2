"""Contrast by the formula of WCAG 2.2 (relative luminance; 1.4.3 words 4.5, 1.4.11 drawn things 3)."""

import re
from itertools import product

import pytest

from tracker.charts.palette import LIGHT, SCHEMES, coloured


def luminance(colour: str) -> float:
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_standards_own_extremes():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_words_can_be_read_on_every_ground(scheme):
    palette = SCHEMES[scheme].as_dict()
    pairs = [*product(("ink", "ink_soft", "action"), ("paper", "sheet", "wash")), ("doubt", "doubt_wash")]

    assert [pair for pair in pairs if contrast(palette[pair[0]], palette[pair[1]]) < 4.5] == []


@pytest.mark.parametrize("scheme", SCHEMES)
def test_dots_bars_and_rules_stand_out_from_the_band(scheme):
    palette = SCHEMES[scheme].as_dict()

    assert [role for role in ("ink", "ink_soft", "action") if contrast(palette[role], palette["band"]) < 3] == []


@pytest.mark.parametrize("scheme", SCHEMES)
def test_values_are_plain_colours(scheme):
    assert all(re.fullmatch(r"#[0-9a-f]{6}", value) for value in SCHEMES[scheme].as_dict().values())


def test_an_unknown_role_is_an_error():
    with pytest.raises(AttributeError):
        coloured(["@loud"], LIGHT)
