"""The plotly that pages load is the one that VERSION names, with its licence and its own style rules."""

import hashlib
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "static" / "vendor" / "plotly"


def test_the_bundle_is_the_released_one():
    name, digest, file = (FOLDER / "VERSION").read_text(encoding="utf-8").splitlines(), "", ""
    _, digest, file = name[1].split()

    assert name[0] == "plotly.js-basic-dist-min 4.1.1 (MIT)"
    assert hashlib.sha256((FOLDER / file).read_bytes()).hexdigest() == digest
    assert b"plotly.js (basic - minified) v4.1.1" in (FOLDER / file).read_bytes()[:200]


def test_the_licence_comes_with_it():
    licence = (FOLDER / "LICENSE").read_text(encoding="utf-8")

    assert licence.startswith("MIT License")
    assert "Plotly" in licence


def test_its_style_rules_reach_nobody_else():
    rules = (FOLDER / "plotly-global.css").read_text(encoding="utf-8")

    assert all(
        ".js-plotly-plot" in line or ".plotly-notifier" in line
        for line in rules.splitlines()
        if "{" in line and not line.startswith("@")
    )
    assert "url(" not in rules
