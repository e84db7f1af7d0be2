"""The message catalogues fit the source, are compiled, and keep what is filled in."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po

ROOT = Path(__file__).resolve().parents[1]
LOCALE = Path("tracker/locale")
COLLECT = [
    "manage.py",
    "makemessages",
    "--all",
    "--no-wrap",
    "--no-obsolete",
    "--add-location",
    "file",
    "--ignore",
    "tests",
]
COMPILE = ["manage.py", "compilemessages", "--ignore", ".venv"]
PLACEHOLDER = re.compile(r"%\(\w+\)[a-z]|%[sd]|\{\w*\}")

Key = tuple[str | None, object]


def catalogues() -> list[Path]:
    return sorted((ROOT / LOCALE).glob("*/LC_MESSAGES/*.po"))


def read(path: Path) -> Catalog:
    with path.open("rb") as file:
        return read_po(file, locale=path.parts[-3])


def strings(message: object) -> tuple[str, ...]:
    return (message.string,) if isinstance(message.string, str) else tuple(message.string)


def sources(path: Path) -> dict[Key, tuple[list[str], bool]]:
    """What a catalogue says about the source: where each text stands, and whether something is filled in."""
    return {
        (message.context, message.id): (sorted(name for name, _ in message.locations), message.python_format)
        for message in read(path)
        if message.id
    }


def translations(catalogue: Catalog) -> dict[Key, tuple[str, ...]]:
    return {
        (message.context, message.id): strings(message)
        for message in catalogue
        if message.id and any(strings(message)) and not message.fuzzy
    }


def program(name: str) -> str:
    """A program of GNU gettext, which a machine that only runs the product does not need."""
    return shutil.which(name) or pytest.skip("GNU gettext is not installed.")


def test_there_is_an_english_catalogue():
    assert ROOT / LOCALE / "en/LC_MESSAGES/django.po" in catalogues(), (
        f"Make {LOCALE}/en, then: python {' '.join(COLLECT)}"
    )


def test_catalogues_fit_the_source(tmp_path):
    program("xgettext")
    for name in ("tracker", "templates"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__", "migrations"))
    shutil.copy(ROOT / "manage.py", tmp_path)
    environment = os.environ | {
        "DJANGO_SETTINGS_MODULE": "tracker.config.settings",
        "DOUBLERULE_VAR": str(tmp_path / "var"),
    }
    run = subprocess.run([sys.executable, *COLLECT], cwd=tmp_path, env=environment, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr

    for path in catalogues():
        kept, fresh = sources(path), sources(tmp_path / path.relative_to(ROOT))
        changed = [key for key in {**kept, **fresh} if kept.get(key) != fresh.get(key)]
        assert not changed, f"{path.relative_to(ROOT)} is out of date ({changed[:5]}). Run: python {' '.join(COLLECT)}"


def test_catalogues_are_compiled():
    for path in catalogues():
        with path.with_suffix(".mo").open("rb") as file:
            compiled = translations(read_mo(file))
        name = path.relative_to(ROOT)
        assert compiled == translations(read(path)), f"{name} is not compiled. Run: python {' '.join(COMPILE)}"


def test_gettext_accepts_each_catalogue(tmp_path):
    msgfmt = program("msgfmt")
    for path in catalogues():
        command = [msgfmt, "--check", "--output-file", str(tmp_path / "checked.mo"), str(path)]
        run = subprocess.run(command, capture_output=True, text=True, check=False)
        assert run.returncode == 0, run.stderr


def lost_placeholders(catalogue: Catalog) -> list[str]:
    """Translations that leave out, or make up, something to be filled in; a form may do as either English form does."""
    finds = []
    for (_, source), translated in translations(catalogue).items():
        wanted = [set(PLACEHOLDER.findall(text)) for text in ([source] if isinstance(source, str) else source)]
        allowed = set().union(*wanted)
        for text in translated:
            given = set(PLACEHOLDER.findall(text))
            if given not in wanted and given != allowed:
                finds.append(f"{source!r} became {text!r}")
    return finds


def test_placeholders_are_kept():
    assert [find for path in catalogues() for find in lost_placeholders(read(path))] == []


@pytest.mark.parametrize(
    ("source", "translation", "lost"),
    [
        ("%(left)s of %(all)s", "%(left)s de %(all)s", False),
        ("%(left)s of %(all)s", "%(left)s de", True),
        ("%(left)s left", "%(lft)s restants", True),
        (("one check", "%(n)d checks"), ("un control", "%(n)d controles"), False),
        (("%(n)d check", "%(n)d checks"), ("un control", "controles"), True),
    ],
)
def test_a_lost_placeholder_is_found(source, translation, lost):
    catalogue = Catalog(locale="es")
    catalogue.add(source, translation)

    assert bool(lost_placeholders(catalogue)) == lost


def test_every_plural_form_is_filled():
    empty = [
        f"{path.relative_to(ROOT)}: {message.id}"
        for path in catalogues()
        for message in read(path)
        if message.id and any(strings(message)) and not all(strings(message))
    ]

    assert empty == []
