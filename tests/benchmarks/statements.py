"""Counts what the database was asked."""

from django.test.utils import CaptureQueriesContext

FRAMES = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE", "ROLLBACK")


def statements(seen: CaptureQueriesContext) -> int:
    """BEGIN, COMMIT and savepoints are not counted."""
    return sum(not query["sql"].upper().startswith(FRAMES) for query in seen.captured_queries)
