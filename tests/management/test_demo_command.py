"""The demo's command in processes of its own: it serves this computer only, can be run again, and stops politely."""

import os
import re
import signal
import socket
import subprocess
import sys
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).resolve().parents[2]
SMALL = """
import django; django.setup()
from django.core.management import call_command
from django.utils import timezone
from tracker.management.demo.builder import build
call_command("migrate", verbosity=0)
build(today=timezone.now().date(), say=print, weeks=3, references=("PA-101", "PB-101", "PB-129"))
"""
REAL = """
import django; django.setup()
from datetime import date
from django.core.management import call_command
from tracker.actions.schools import start_school
call_command("migrate", verbosity=0)
start_school(name="Real School", year_name="2026/27", year_starts=date(2026, 9, 7), year_ends=date(2027, 7, 2),
             office_name="Mira Solberg", office_username="office", on=date(2026, 9, 1))
"""
COUNT = (
    "import django; django.setup(); from tracker.models import School; print(list(School.objects.values_list('name')))"
)
PATIENCE = 240  # a busy computer


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """The demo's environment with a folder of its own."""
    return environment(tmp_path_factory.mktemp("demo"))


def environment(folder):
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("DOUBLERULE_", "DATABASE_"))}
    return {**kept, "DOUBLERULE_MODE": "demo", "DOUBLERULE_VAR": str(folder), "PYTHONUNBUFFERED": "1",
            "DJANGO_SETTINGS_MODULE": "tracker.config.settings"}  # fmt: skip


def run(place, *words):
    done = subprocess.run(
        [sys.executable, *words], cwd=ROOT, env=place, capture_output=True, text=True, check=False, timeout=PATIENCE
    )
    return done.returncode, done.stdout + done.stderr


@pytest.fixture(scope="module")
def demo(place):
    """A small school of this week, which the command takes for its own."""
    status, said = run(place, "-c", SMALL)
    assert status == 0, said
    return place


def until(process, pattern):
    said = ""
    for line in process.stdout:
        said += line
        if found := re.search(pattern, line):
            return found[1], said
    raise AssertionError(said)


def fetch(address):
    try:
        with urlopen(address, timeout=30) as answer:  # noqa: S310 - always http on this computer
            return answer.status, answer.read().decode()
    except HTTPError as error:
        return error.code, ""


@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_demo_serves_this_computer_only_and_stops_politely(demo, stop):
    words = [sys.executable, "manage.py", "demo", "--port", "0"]
    with subprocess.Popen(
        words, cwd=ROOT, env=demo, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as process:
        try:
            address, said = until(process, r"Open (http://127\.0\.0\.1:\d+/)")
            status, page = fetch(address)
            style = fetch(f"{address}static/css/tokens.css")[0]
            elsewhere = _reaches_elsewhere(int(address.rstrip("/").rpartition(":")[2]))
        finally:
            process.send_signal(stop)
            rest, _ = process.communicate(timeout=PATIENCE)

    assert "The demo of this week is there already" in said
    assert "only this computer can open it" in said
    assert (status, style, elsewhere) == (200, 200, False)
    assert "Demo" in page
    assert (process.returncode, rest.strip().splitlines()[-1]) == (0, "Stopped.")
    assert "Traceback" not in rest


def _reaches_elsewhere(port):
    """Another address of this computer is refused: the server listens on 127.0.0.1 and on nothing else."""
    with socket.socket() as other:
        other.settimeout(5)
        try:
            other.connect(("127.0.0.2", port))
        except OSError:
            return False
        return True


def test_port_that_is_taken_is_said_before_anything_is_built(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        status, said = run(environment(tmp_path), "manage.py", "demo", "--port", str(taken.getsockname()[1]))

    assert status == 1
    assert "is taken by another program; choose one with --port" in said
    assert "Traceback" not in said


def test_database_with_a_real_school_is_left_alone(tmp_path):
    place = environment(tmp_path)
    assert run(place, "-c", REAL)[0] == 0

    for words in (["--build-only"], ["--build-only", "--reset"]):
        status, said = run(place, "manage.py", "demo", *words)
        assert status == 1
        assert "holds a real school" in said
    assert run(place, "-c", COUNT)[1].strip() == "[('Real School',)]"


def test_demo_needs_its_own_settings():
    with pytest.raises(CommandError, match=r"manage\.py demo"):
        call_command("demo", "--build-only")
