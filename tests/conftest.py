"""What every test gets: no network beyond this computer, databases to order, and skips that cannot hide.

Set REQUIRE_ALL=1 to turn every skip into a failure.
"""

import os
import shutil
import socket
import subprocess
from collections.abc import Callable, Generator, Iterator
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

import pytest
from django.core.cache import cache

ROOT = Path(__file__).resolve().parents[1]
POSTGRES = ROOT / ".ci" / "postgres"
LOOPBACK = ("127.", "::1", "localhost")


def chromium() -> str | None:
    """The browser to test with: CHROMIUM, or the system's own."""
    return os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


def postgres_given() -> str | None:
    url = os.environ.get("DATABASE_URL", "")
    return url if url.startswith("postgres") else None


def postgres_installed() -> bool:
    return subprocess.run([POSTGRES, "find"], stdout=subprocess.DEVNULL, check=False).returncode == 0


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    missing = {}
    if not chromium():
        missing["browser"] = "Chromium is not installed; name its program in CHROMIUM."
    if not (postgres_given() or postgres_installed()):
        missing["postgres"] = "PostgreSQL is not installed."
    for item in items:
        for marker, reason in missing.items():
            if item.get_closest_marker(marker):
                item.add_marker(pytest.mark.skip(reason=reason))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, Any, Any]:
    return refuse_skip((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, Any, Any]:
    return refuse_skip((yield))


def refuse_skip(report: Any) -> Any:
    if os.environ.get("REQUIRE_ALL") and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"REQUIRE_ALL is set, so nothing may be skipped: {report.longrepr[2]}"
    return report


def stay_here(host: object) -> None:
    if isinstance(host, str) and host and not host.startswith(LOOPBACK):
        raise ConnectionRefusedError(f"Tests may not reach {host}: only this computer.")


@pytest.fixture(scope="session", autouse=True)
def no_network() -> Iterator[None]:
    """Neither names are looked up nor addresses reached outside this computer."""
    connect, getaddrinfo = socket.socket.connect, socket.getaddrinfo

    def guarded_connect(self: socket.socket, address: Any) -> None:
        stay_here(address[0] if isinstance(address, tuple) else "")
        connect(self, address)

    def guarded_getaddrinfo(host: Any, *args: Any, **kwargs: Any) -> Any:
        stay_here(host)
        return getaddrinfo(host, *args, **kwargs)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", guarded_connect)
        patch.setattr(socket, "getaddrinfo", guarded_getaddrinfo)
        yield


@pytest.fixture(autouse=True)
def empty_cache() -> None:
    """Throttles count in the cache; no test inherits another's count."""
    cache.clear()


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a server that may be filled: the one under test, or a throw-away one."""
    if given := postgres_given():
        yield given
        return
    made = subprocess.run([POSTGRES, "start"], stdout=subprocess.PIPE, text=True, check=True)
    folder, url = made.stdout.split()
    yield url
    subprocess.run([POSTGRES, "stop", folder], check=True)


@pytest.fixture
def postgres_url(postgres_server: str) -> Iterator[str]:
    """The URL of an empty database of its own."""
    import psycopg

    name = f"own_{uuid4().hex}"
    with psycopg.connect(postgres_server, autocommit=True) as connection:
        connection.execute(f'create database "{name}"')
        yield urlunsplit(urlsplit(postgres_server)._replace(path=f"/{name}"))
        connection.execute(f'drop database "{name}" with (force)')


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty database in turn on SQLite (a file) and on PostgreSQL, for tests with real processes."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path}/own.sqlite3"
    return request.getfixturevalue("postgres_url")


@pytest.fixture
def at_time(monkeypatch: pytest.MonkeyPatch) -> Callable[[datetime], None]:
    """Sets the clock that pages read: `at_time(datetime(2026, 11, 20, 14, tzinfo=UTC))`."""

    def set_clock(moment: datetime) -> None:
        monkeypatch.setattr("tracker.web.clock.timezone", SimpleNamespace(now=lambda: moment))

    return set_clock
