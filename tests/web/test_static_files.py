"""Collected scripts name one another by hashed names, as a deployment serves them."""

import re
from pathlib import Path

from django.core.management import call_command


def test_scripts_import_one_another_by_hashed_names(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = settings.STORAGES | {"staticfiles": {"BACKEND": "tracker.web.static_files.HashedStaticFiles"}}

    call_command("collectstatic", interactive=False, verbosity=0)

    page = next(Path(tmp_path, "js", "scores").glob("page.????????????.js")).read_text()
    named = re.findall(r'from "\./([^"]+)"', page)
    assert named
    assert [name for name in named if not re.fullmatch(r"[\w-]+\.[0-9a-f]{12}\.js", name)] == []
    assert [name for name in named if not Path(tmp_path, "js", "scores", name).is_file()] == []
