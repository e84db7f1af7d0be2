"""Reads what a deployment sets, and refuses to start on what is missing or unclear."""

import os
import secrets
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

# Releases before this one hold a rare race between a checkpoint and a write in write-ahead mode.
WAL_SAFE_FROM = (3, 51, 3)


def words(name: str) -> list[str]:
    return [word.strip() for word in os.environ.get(name, "").split(",") if word.strip()]


def secret_key(*, demo: bool, var: Path) -> str:
    given = os.environ.get("DOUBLERULE_SECRET_KEY", "")
    if given:
        if len(given) < 50:
            raise ImproperlyConfigured("DOUBLERULE_SECRET_KEY must have at least 50 characters.")
        return given
    if not demo:
        raise ImproperlyConfigured(
            "Set DOUBLERULE_SECRET_KEY to 50 random characters or more (the README shows one line that makes one)."
        )
    return _kept_demo_key(var / "demo-key")


def former_keys() -> list[str]:
    """What was signed or locked with a key that has been changed stays readable while that key stands here."""
    keys = words("DOUBLERULE_OLD_SECRET_KEYS")
    if any(len(key) < 50 for key in keys):
        raise ImproperlyConfigured("Each key in DOUBLERULE_OLD_SECRET_KEYS must have at least 50 characters.")
    return keys


def _kept_demo_key(path: Path) -> str:
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(secrets.token_urlsafe(48))
        path.chmod(0o600)
    return path.read_text().strip()


def database(*, base: Path, demo: bool, sqlite_version: tuple[int, ...]) -> dict[str, Any]:
    url = os.environ.get("DATABASE_URL", "")
    if not url:
        base.mkdir(parents=True, exist_ok=True)
        return sqlite(str(base / ("demo.sqlite3" if demo else "doublerule.sqlite3")), sqlite_version)
    parts = urlsplit(url)
    if parts.scheme == "sqlite":
        # As in other URLs, three slashes begin a relative path and four an absolute one.
        return sqlite(unquote(parts.path[1:]), sqlite_version)
    if parts.scheme in {"postgres", "postgresql"}:
        return {
            "ENGINE": "django.db.backends.postgresql",
            "NAME": unquote(parts.path.lstrip("/")),
            "USER": unquote(parts.username or ""),
            "PASSWORD": unquote(parts.password or ""),
            "HOST": parts.hostname or "",
            "PORT": str(parts.port or ""),
            "CONN_MAX_AGE": 60,
            "CONN_HEALTH_CHECKS": True,
            "OPTIONS": dict(parse_qsl(parts.query)),
        }
    raise ImproperlyConfigured("DATABASE_URL must begin with sqlite:/// or postgres://.")


def sqlite(name: str, version: tuple[int, ...]) -> dict[str, Any]:
    journal = "WAL" if version >= WAL_SAFE_FROM else "DELETE"
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": name,
        "OPTIONS": {
            # IMMEDIATE takes the write lock at once: a deferred one fails when it turns from reading to writing.
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": f"PRAGMA journal_mode={journal};PRAGMA synchronous=FULL;",
        },
    }
