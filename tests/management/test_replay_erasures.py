"""The command that is run after a restore."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests import builders
from tracker.models import Pupil

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.VAR_DIR = tmp_path


def replay(*lists):
    out = StringIO()
    call_command("replay_erasures", *lists, stdout=out)
    return out.getvalue()


def test_replay_erasures_by_the_list_beside_the_database(tmp_path):
    school = builders.make_school()
    pupil = builders.make_pupil(builders.make_class(school))
    line = {"school": school.pk, "pupil": pupil.public_id, "on": "2026-11-20"}
    (tmp_path / "erasures.jsonl").write_text(json.dumps(line) + "\n")

    assert replay() == "Pupils erased again: 1\n"
    assert Pupil.objects.count() == 0


def test_replay_erasures_with_nothing_to_do():
    assert replay() == "Pupils erased again: 0\n"


def test_replay_erasures_of_a_list_that_is_none(tmp_path):
    path = tmp_path / "other.txt"
    path.write_text("no list")

    for wrong in (path, tmp_path / "missing"):
        with pytest.raises(CommandError, match="could not be read"):
            replay(wrong)
