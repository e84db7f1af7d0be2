"""The guards around the tests hold."""

import os
import socket
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tracker.web import clock

SKIPPING = """
import pytest

from tracker.web import clock
def test_skipped():
    pytest.skip("something is missing")
@pytest.mark.xfail(strict=True)
def test_known_fault():
    assert False
"""
MODULE_SKIPPING = "import pytest\npytest.skip('nothing here', allow_module_level=True)\n"


def run_apart(folder: Path, code: str, *, require_all: str) -> subprocess.CompletedProcess[str]:
    (folder / "test_one.py").write_text(code)
    (folder / "conftest.py").write_text("from tests.conftest import *  # noqa: F403\n")
    environment = os.environ | {"REQUIRE_ALL": require_all, "PYTHONPATH": str(Path.cwd())}
    environment["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:randomly", "-p", "no:cacheprovider", str(folder)]
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("code", [SKIPPING, MODULE_SKIPPING], ids=["test", "module"])
def test_a_skip_fails_when_all_is_required(tmp_path, code):
    run = run_apart(tmp_path, code, require_all="1")

    assert run.returncode != 0
    assert "REQUIRE_ALL is set, so nothing may be skipped" in run.stdout


def test_a_skip_passes_otherwise_and_an_expected_failure_always(tmp_path):
    run = run_apart(tmp_path, SKIPPING, require_all="")

    assert run.returncode == 0, run.stdout
    assert "1 skipped, 1 xfailed" in run.stdout


def test_other_computers_are_out_of_reach():
    with pytest.raises(ConnectionRefusedError, match=r"may not reach 192\.0\.2\.1"):
        socket.create_connection(("192.0.2.1", 80), timeout=1)
    with pytest.raises(ConnectionRefusedError, match=r"may not reach school\.example"):
        socket.getaddrinfo("school.example", 80)


def test_this_computer_is_in_reach():
    with (
        socket.create_server(("127.0.0.1", 0)) as server,
        socket.create_connection(server.getsockname(), timeout=5) as client,
    ):
        assert client.getpeername() == server.getsockname()


def test_a_database_to_order_is_empty_and_writable(database_url):
    if database_url.startswith("sqlite"):
        connection = sqlite3.connect(urlsplit(database_url).path[1:])
    else:
        import psycopg

        connection = psycopg.connect(database_url)
    connection.execute("create table one (number integer)")
    connection.execute("insert into one values (7)")
    rows = connection.execute("select number from one").fetchall()
    connection.close()

    assert rows == [(7,)]


def test_pages_read_the_clock_that_a_test_sets(at_time):
    moment = datetime(2026, 11, 20, 14, tzinfo=UTC)
    at_time(moment)

    assert clock.now() == moment
