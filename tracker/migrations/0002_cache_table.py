"""The table behind the throttle of sign-ins, so that several processes share one count."""

from typing import Any

from django.core.management import call_command
from django.db import migrations


def make_table(apps: Any, schema_editor: Any) -> None:
    call_command("createcachetable", verbosity=0, database=schema_editor.connection.alias)


class Migration(migrations.Migration):
    dependencies = [("tracker", "0001_first_tables")]

    operations = [migrations.RunPython(make_table, migrations.RunPython.noop)]
