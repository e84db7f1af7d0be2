"""The product as a school would deploy it: safe when nothing is set, and refusing what is unclear."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
KEY = "0123456789abcdefghijklmnopqrstuvwxyz" * 2
ASK = """
import json, sys
import django
from django.conf import settings
django.setup()
names = sys.argv[1:]
print(json.dumps({name: getattr(settings, name, None) for name in names}))
"""


def run(tmp_path, *command, **environment):
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("DOUBLERULE", "DATABASE", "DJANGO"))
    }
    given = {"DJANGO_SETTINGS_MODULE": "tracker.config.settings", "DOUBLERULE_VAR": str(tmp_path), **environment}
    return subprocess.run(
        [sys.executable, *command], cwd=ROOT, env=kept | given, capture_output=True, text=True, check=False
    )


def ask(tmp_path, *names, **environment):
    answer = run(tmp_path, "-c", ASK, *names, **environment)
    assert answer.returncode == 0, answer.stderr
    return json.loads(answer.stdout)


PRODUCTION = {"DOUBLERULE_SECRET_KEY": KEY, "DOUBLERULE_HOSTS": "tracker.school.example"}


def test_deployment_check_finds_nothing(tmp_path):
    """Django's own list of what a deployment must set, any warning counted as a failure."""
    answer = run(tmp_path, "manage.py", "check", "--deploy", "--fail-level", "WARNING", **PRODUCTION)

    assert answer.returncode == 0, answer.stderr
    assert "System check identified no issues (0 silenced)." in answer.stdout


def test_nothing_starts_without_a_key(tmp_path):
    answer = run(tmp_path, "manage.py", "check", DOUBLERULE_HOSTS="tracker.school.example")

    assert answer.returncode != 0
    assert "Set DOUBLERULE_SECRET_KEY to 50 random characters or more" in answer.stderr


def test_nothing_starts_with_a_short_key(tmp_path):
    answer = run(tmp_path, "manage.py", "check", DOUBLERULE_SECRET_KEY="short")

    assert "DOUBLERULE_SECRET_KEY must have at least 50 characters" in answer.stderr


def test_former_keys_still_read_what_they_locked(tmp_path):
    """A second factor that was set up before the key was changed."""
    lock = "from tracker.access.adapter import FactorAdapter; print(FactorAdapter().{}({!r}))"
    shell = ("manage.py", "shell", "--no-imports", "-v", "0", "-c")
    locked = run(tmp_path, *shell, lock.format("encrypt", "seed of the factor"), **PRODUCTION).stdout.strip()
    changed = {**PRODUCTION, "DOUBLERULE_SECRET_KEY": KEY[::-1]}
    lost = run(tmp_path, *shell, lock.format("decrypt", locked), **changed)
    kept = run(
        tmp_path, *shell, lock.format("decrypt", locked), **changed, DOUBLERULE_OLD_SECRET_KEYS=f"{KEY[1:]},{KEY}"
    )

    assert lost.returncode != 0
    assert "InvalidToken" in lost.stderr
    assert kept.stdout.strip() == "seed of the factor"


def test_former_keys_are_none_until_named_and_never_short(tmp_path):
    changed = {**PRODUCTION, "DOUBLERULE_OLD_SECRET_KEYS": f"{KEY}, short"}

    assert ask(tmp_path, "SECRET_KEY_FALLBACKS", **PRODUCTION) == {"SECRET_KEY_FALLBACKS": []}
    refused = run(tmp_path, "manage.py", "check", **changed)
    assert "Each key in DOUBLERULE_OLD_SECRET_KEYS must have at least 50 characters." in refused.stderr


def test_both_cookies_are_bound_to_the_host(tmp_path):
    """RFC 6265bis: a name that begins with __Host- is only taken with Secure, path / and no domain."""
    names = ("SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME", "SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE")
    rest = ("SESSION_COOKIE_PATH", "CSRF_COOKIE_PATH", "SESSION_COOKIE_DOMAIN", "CSRF_COOKIE_DOMAIN")
    found = ask(tmp_path, *names, *rest, **PRODUCTION)

    assert [found[name] for name in names] == ["__Host-sessionid", "__Host-csrftoken", True, True]
    assert [found[name] for name in rest] == ["/", "/", None, None]


def test_production_asks_staff_for_a_second_factor_and_shows_no_errors(tmp_path):
    found = ask(tmp_path, "SECOND_FACTOR_FOR_STAFF", "DEBUG", "DEMO", "SECURE_SSL_REDIRECT", **PRODUCTION)

    assert found == {
        "SECOND_FACTOR_FOR_STAFF": True, "DEBUG": False, "DEMO": False, "SECURE_SSL_REDIRECT": True
    }  # fmt: skip


def test_demo_is_for_this_computer_only(tmp_path):
    names = ("ALLOWED_HOSTS", "SECOND_FACTOR_FOR_STAFF", "DEBUG", "SECURE_SSL_REDIRECT", "SESSION_COOKIE_NAME")
    found = ask(tmp_path, *names, DOUBLERULE_MODE="demo", DOUBLERULE_HOSTS="elsewhere.example")

    assert [found[name] for name in names] == [["127.0.0.1", "localhost"], False, False, False, "sessionid"]


def test_demo_keeps_a_key_of_its_own(tmp_path):
    first, second = (ask(tmp_path, "SECRET_KEY", DOUBLERULE_MODE="demo") for _ in range(2))

    assert first == second
    assert len(first["SECRET_KEY"]) >= 50
    assert (tmp_path / "demo-key").stat().st_mode & 0o777 == 0o600


def test_limits_of_a_session_can_be_set(tmp_path):
    names = ("SESSION_IDLE_SECONDS", "SESSION_ABSOLUTE_SECONDS", "SESSION_COOKIE_AGE")
    usual = ask(tmp_path, *names, **PRODUCTION)
    own = ask(tmp_path, *names, DOUBLERULE_IDLE_MINUTES="15", DOUBLERULE_SESSION_HOURS="4", **PRODUCTION)

    assert [usual[name] for name in names] == [3600, 36_000, 36_000]
    assert [own[name] for name in names] == [900, 14_400, 14_400]


def test_proxy_is_trusted_only_when_named(tmp_path):
    names = ("SECURE_PROXY_SSL_HEADER", "ALLAUTH_TRUSTED_PROXY_COUNT")
    alone = ask(tmp_path, *names, **PRODUCTION)
    behind = ask(tmp_path, *names, DOUBLERULE_BEHIND_PROXY="1", **PRODUCTION)

    assert alone == {"SECURE_PROXY_SSL_HEADER": None, "ALLAUTH_TRUSTED_PROXY_COUNT": None}
    assert behind == {"SECURE_PROXY_SSL_HEADER": ["HTTP_X_FORWARDED_PROTO", "https"], "ALLAUTH_TRUSTED_PROXY_COUNT": 1}


@pytest.mark.parametrize("wide", ["'unsafe-inline'", "'unsafe-eval'", "data:", "*", "http:", "https:"])
def test_policy_has_no_wide_door(tmp_path, wide):
    policy = ask(tmp_path, "SECURE_CSP", **PRODUCTION)["SECURE_CSP"]

    assert policy["default-src"] == ["'none'"]
    assert not any(wide in values for values in policy.values())
