"""Server time of pages as a multiple of an empty signed-in page, and what saves and closing cost.

Everything runs on a database made for it and thrown away, with the settings of the product except https.
"""

from collections.abc import Callable
from contextlib import contextmanager
from gc import collect
from statistics import median
from time import perf_counter
from typing import Any

from django.conf import settings
from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from tests import builders
from tests.benchmarks import closing
from tests.benchmarks.school import Built, build
from tests.benchmarks.statements import statements
from tracker.access.viewer import viewer_for
from tracker.actions.scores import Typed, save_row

Say = Callable[[str], Any]
PAGES = [("week-overview", "week", 8), ("group-overview", "gradebook 30 x 12", 12), ("pupil-progress", "pupil page", 8)]
PLAIN_HTTP = {
    "ROOT_URLCONF": "tests.benchmarks.urls",
    "SECURE_SSL_REDIRECT": False,
    "SESSION_COOKIE_SECURE": False,
    "CSRF_COOKIE_SECURE": False,
    "SESSION_COOKIE_NAME": "sessionid",
    "CSRF_COOKIE_NAME": "csrftoken",
    "ALLOWED_HOSTS": ["testserver"],
    "SECOND_FACTOR_FOR_STAFF": False,
    "STORAGES": {"staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}},
}


def run(*, rounds: int, say: Say) -> None:
    with throw_away_database(), override_settings(**PLAIN_HTTP):
        built = build(pupils=30, skills=12, today=timezone.now().date())
        say(f"{connection.vendor}, class of 30, 12 skills, {built.weeks} weeks; {rounds} rounds, medians")
        measure_pages(built, rounds=rounds, say=say)
        measure_saves(built, say=say)
        closing.measure(built, rounds=max(rounds // 2, 5), say=say)


@contextmanager
def throw_away_database() -> Any:
    old = settings.DATABASES["default"]["NAME"]
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        yield
    finally:
        connection.creation.destroy_test_db(str(old), verbosity=0)


def measure_pages(built: Built, *, rounds: int, say: Say) -> None:
    client = Client()
    builders.sign_in(client, built.teacher)
    arguments = {
        "week-overview": [],
        "group-overview": [built.group.public_id],
        "pupil-progress": [built.pupil.public_id],
    }
    base = reverse("bench-base")
    for name, label, limit in PAGES:
        url = reverse(name, args=arguments[name])
        for warm in (base, url, base, url):
            answer = client.get(warm)
            assert answer.status_code == 200, (warm, answer.status_code)
        base_time, page_time = side_by_side(lambda: client.get(base), lambda url=url: client.get(url), rounds)
        with CaptureQueriesContext(connection) as seen:
            client.get(url)
        ratio = page_time / base_time
        say(
            f"{label:20} {1000 * page_time:6.1f} ms  base {1000 * base_time:5.1f} ms  ratio {ratio:5.1f}  "
            f"(aim <= {limit})  {len(seen)} queries"
        )


def side_by_side(first: Callable[[], Any], second: Callable[[], Any], rounds: int) -> tuple[float, float]:
    """Medians of both, measured in turn, so that whatever slows the machine slows both."""
    times: tuple[list[float], list[float]] = ([], [])
    collect()
    for _round in range(rounds):
        for call, taken in zip((first, second), times, strict=True):
            began = perf_counter()
            call()
            taken.append(perf_counter() - began)
    return median(times[0]), median(times[1])


def measure_saves(built: Built, *, say: Say) -> None:
    viewer = viewer_for(built.teacher, now=timezone.now())
    assert viewer is not None
    row = built.open_check.attempts.earliest("pk")
    with CaptureQueriesContext(connection) as seen:
        save_row(
            check_id=built.open_check.public_id,
            attempt_id=row.public_id,
            typed=Typed(correct=30, wrong=1),
            key="benchmark",
            base_version=0,
            by=viewer,
            on=viewer.today,
        )
    say(f"saving a row: {statements(seen)} queries (aim <= 10)")
