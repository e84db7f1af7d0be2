"""The README's commands, the installation and the whole check say the same."""

import os
import re
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from tests.rules import modules

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
RUN = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
COMMANDS = [
    "python3 -m venv .venv && .venv/bin/pip install -e . && .venv/bin/python manage.py demo",
    "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/python -m pytest",
]


def distribution(requirement: str) -> str:
    return Requirement(requirement).name.lower().replace("_", "-")


def needed() -> set[str]:
    """Every distribution that installing the product brings, by name."""
    found: set[str] = set()
    waiting = [Requirement(each) for each in PROJECT["dependencies"]]
    while waiting:
        requirement = waiting.pop()
        found.add(distribution(requirement.name))
        extras = requirement.extras or {""}
        below = [Requirement(each) for each in metadata.requires(requirement.name) or []]
        waiting += [each for each in below if any(wanted(each, extra) for extra in extras) and each.name not in found]
    return found


def wanted(requirement: Requirement, extra: str) -> bool:
    return requirement.marker is None or requirement.marker.evaluate({"extra": extra})


def test_the_readme_has_exactly_two_commands():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")

    assert [line for line in readme.splitlines() if line.startswith("python3 -m venv ")] == COMMANDS


def test_the_whole_check_runs_the_readme(tmp_path):
    """`.ci/run` cuts its commands out of the README: run its own lines on these."""
    (tmp_path / "README.md").write_text("\n".join(["# Doublerule", "```", COMMANDS[0], "```", COMMANDS[1], ""]))
    function = re.search(r"^readme_command\(\) \{.*?^\}", RUN, re.S | re.M)
    lines = re.search(r"^first=.*?^tests=[^\n]*", RUN, re.S | re.M)
    show = 'step() { shift 3; printf "%s\\n" "$@"; }'
    script = "\n".join([show, function.group(), lines.group(), 'printf "%s\\n" "$tests"'])
    shown = subprocess.run(["bash", "-c", script], cwd=tmp_path, capture_output=True, text=True, check=True).stdout

    install, _, tests = COMMANDS[1].rpartition(" && ")
    assert shown.splitlines() == [f"{COMMANDS[0]} --build-only", install, tests]


def test_scripts_are_executable_and_sound():
    for path in sorted((ROOT / ".ci").iterdir()):
        if path.read_bytes().startswith(b"#!/usr/bin/env bash"):
            assert os.access(path, os.X_OK), path.name
            assert subprocess.run(["bash", "-n", path], check=False).returncode == 0, path.name


def test_every_dependency_has_one_version():
    given = PROJECT["dependencies"] + [each for extra in PROJECT["optional-dependencies"].values() for each in extra]

    assert [each for each in given if not re.fullmatch(r"[\w.-]+(\[[\w,]+\])?==[\w.]+", each)] == []


def test_what_is_installed_is_what_is_asked_for():
    given = PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]
    wanted = {distribution(each): each.partition("==")[2] for each in given}

    assert {name: metadata.version(name) for name in wanted} == wanted


def test_the_product_imports_only_what_it_asks_for():
    """A library that only the tests bring would be missing at a school."""
    brought_by = {name: set(map(str.lower, owners)) for name, owners in metadata.packages_distributions().items()}
    installed = needed()
    foreign = {
        (module.name, name.split(".")[0])
        for module in modules.modules(ROOT / "tracker", root=ROOT)
        for name, _ in modules.imports(module.tree)
        if name.split(".")[0] not in {*sys.stdlib_module_names, "tracker"}
    }

    assert {(module, name) for module, name in foreign if not brought_by.get(name, set()) & installed} == set()


@pytest.mark.parametrize(
    "step", ["ruff check", "ruff format --check", "mypy", "lint-imports", "makemigrations --check"]
)
def test_the_whole_check_has_each_step(step):
    assert f".venv/bin/{step}" in RUN.replace("python -m ", "").replace("python manage.py ", "")
