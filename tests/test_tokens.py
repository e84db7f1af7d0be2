"""Colours by role: readable in every scheme, and the same for pages, charts and paper."""

import re
from pathlib import Path

import pytest

from tracker.charts.palette import SCHEMES

ROOT = Path(__file__).parents[1]
TOKENS = (ROOT / "static/css/tokens.css").read_text()
BLOCKS = {
    "light": r":root \{",
    "dark": r":root:not\(\[data-theme\]\) \{",
    "dark, chosen": r':root\[data-theme="dark"\] \{',
    "print": r":root:root:root \{",
    "print, shown": r':root\[data-theme="print"\] \{',
}

# WCAG 2.2, success criterion 1.4.3: text against what it stands on, at least 4.5 to 1.
TEXT = [
    *((ink, ground) for ink in ("ink", "ink-soft") for ground in ("paper", "sheet", "wash", "doubt-wash")),
    *(("action", ground) for ground in ("paper", "sheet", "wash")),
    *(("action-deep", ground) for ground in ("paper", "sheet", "wash")),
    *(("doubt", ground) for ground in ("paper", "sheet", "doubt-wash")),
    ("ink", "band"),
    ("on-action", "action"),
    ("on-action", "action-deep"),
]
# WCAG 2.2, success criterion 1.4.11: edges of controls, focus and the drawn parts of a chart, at least 3 to 1.
SHAPES = [
    *((shape, ground) for shape in ("edge", "focus") for ground in ("paper", "sheet", "wash", "doubt-wash")),
    ("ink", "paper"),
    ("ink-soft", "band"),
    ("action", "band"),
    ("doubt", "paper"),
]


def colours(scheme: str) -> dict[str, str]:
    block = re.search(BLOCKS[scheme] + r"(.*?)\}", TOKENS, re.S)
    assert block, scheme
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", block[1]))


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def too_faint(scheme: str, pairs: list[tuple[str, str]], least: float) -> list[str]:
    found = colours(scheme)
    measured = {(one, ground): contrast(found[one], found[ground]) for one, ground in pairs}
    return [f"{one} on {ground}: {value:.2f}" for (one, ground), value in measured.items() if value < least]


def test_contrast_of_known_pairs():
    # WCAG 2.2: black on white is 21 to 1; #767676 is the lightest grey that passes 4.5 to 1 on white
    # (W3C, Understanding 1.4.3, from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_text_is_readable(scheme):
    assert too_faint(scheme, TEXT, 4.5) == []


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_shapes_are_visible(scheme):
    assert too_faint(scheme, SHAPES, 3) == []


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_every_scheme_names_every_role(scheme):
    assert list(colours(scheme)) == list(colours("light"))


def test_dark_is_the_same_chosen_or_asked_for_by_the_device():
    assert colours("dark, chosen") == colours("dark")


def test_print_is_the_same_shown_or_printed():
    assert colours("print, shown") == colours("print")


@pytest.mark.parametrize("scheme", sorted(SCHEMES))
def test_charts_and_paper_use_the_colours_of_the_pages(scheme):
    charts = {role.replace("_", "-"): value for role, value in SCHEMES[scheme].as_dict().items()}
    pages = colours(scheme)

    assert charts == {role: pages[role] for role in charts}


def test_every_token_that_is_used_exists():
    defined = set(re.findall(r"(--[\w-]+):", TOKENS))
    used = {
        (sheet.name, token)
        for sheet in (ROOT / "static/css").rglob("*.css")
        for token in re.findall(r"var\((--[\w-]+)", sheet.read_text())
    }

    assert {(name, token) for name, token in used if token not in defined} == set()
