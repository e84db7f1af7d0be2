from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests import builders as make
from tests.actions.scene import make_scene
from tracker.models import Standing


def rebuild(*arguments):
    out = StringIO()
    call_command("rebuild_standings", *arguments, stdout=out)
    return out.getvalue()


@pytest.fixture
def scene(db):
    scene = make_scene()
    make.make_history(scene.pupil(), [(60, 0)] * 3)
    return scene


def test_rebuild_says_which_stages_changed_and_then_none(scene):
    place = scene.school.public_id

    assert rebuild() == f"{place}: 2 standings, 2 changed\n  none -> secure: 1\n"
    assert rebuild() == f"{place}: 2 standings, 0 changed\n"


def test_look_writes_nothing(scene):
    assert rebuild("--look") == f"{scene.school.public_id}: 2 standings, 2 would change\n  none -> secure: 1\n"
    assert not Standing.objects.exists()


def test_stale_leaves_the_rest_alone(scene):
    rebuild()

    assert rebuild("--stale") == f"{scene.school.public_id}: 0 standings, 0 changed\n"


def test_one_school_can_be_named(scene):
    other = make_scene(name="Mill Road School")
    make.make_history(other.pupil(), [(60, 0)] * 3)

    assert rebuild("--school", other.school.public_id).startswith(f"{other.school.public_id}: 2 standings")
    assert set(Standing.objects.values_list("school", flat=True)) == {other.school.pk}
    with pytest.raises(CommandError, match="There is no school nowhere"):
        rebuild("--school", "nowhere")
