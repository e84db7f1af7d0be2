"""Finds what a database holds before the demo touches it, and empties it only where nothing real can be lost."""

from datetime import date, timedelta
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection

from tracker.models import Check, School

EMPTY, THIS_WEEK, EARLIER, UNREADABLE = "empty", "this week", "earlier", "unreadable"


class RealSchool(ValueError):
    """The database holds a school that is not the demo's."""


def state(*, today: date) -> str:
    """Raises RealSchool where a school stands that nobody invented."""
    if School._meta.db_table not in connection.introspection.table_names():
        return EMPTY
    try:
        if School.objects.filter(is_demo=False).exists():
            raise RealSchool("This database holds a real school, so the demo leaves it alone.")
        last = Check.objects.filter(school__is_demo=True).order_by("-on").values_list("on", flat=True).first()
    except DatabaseError:
        return UNREADABLE
    if last is None:
        return EMPTY
    monday = today - timedelta(days=today.weekday())
    return THIS_WEEK if last >= monday else EARLIER


def own_file() -> Path | None:
    """The demo's own SQLite file; none when another database was given."""
    path = Path(settings.VAR_DIR) / "demo.sqlite3"
    is_own = connection.vendor == "sqlite" and Path(str(connection.settings_dict["NAME"])) == path
    return path if is_own else None


def empty() -> None:
    """Takes the demo's own file away, or empties the tables of a database that was given."""
    path = own_file()
    if path is None:
        call_command("flush", interactive=False, verbosity=0)
        return
    connection.close()
    for ending in ("", "-wal", "-shm", "-journal"):
        path.with_name(path.name + ending).unlink(missing_ok=True)
