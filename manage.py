"""Run one of the product's commands."""

import os
import sys

from django.core.management import execute_from_command_line


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tracker.config.settings")
    if sys.argv[1:2] == ["demo"]:
        # The demo runs over plain http on this computer only; every other command keeps the safe defaults.
        os.environ["DOUBLERULE_MODE"] = "demo"
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
