import pytest

from tests import builders as make
from tests.actions.scene import ON, cover_of, make_scene, stranger_at
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.flags import close_flag, see_flag
from tracker.models import ChangeRecord, Flag


@pytest.fixture
def scene(db):
    return make_scene()


@pytest.fixture
def flag(scene):
    return make.make_flag(scene.pupil())


def test_seen_flag_keeps_who_looked_first(scene, flag):
    coordinator = make.viewer(make.make_member(scene.school, "coordinator"), scene.school)

    see_flag(flag_id=flag.public_id, by=scene.by, on=ON)
    see_flag(flag_id=flag.public_id, by=coordinator, on=ON)

    flag.refresh_from_db()
    assert (flag.state, flag.seen_by) == ("acknowledged", scene.by.user)
    assert flag.seen_at is not None
    line = ChangeRecord.objects.get(action="see-flag")
    assert (line.subject_key, line.pupil_key) == (flag.public_id, flag.pupil.public_id)


def test_closed_flag_keeps_who_and_why(scene, flag):
    close_flag(flag_id=flag.public_id, why="  Worked with counters ", by=scene.by, on=ON)

    flag.refresh_from_db()
    assert (flag.state, flag.ended_by, flag.ended_why) == ("closed", scene.by.user, "Worked with counters")
    assert ChangeRecord.objects.get(action="close-flag").why == "Worked with counters"


@pytest.mark.parametrize("why", ["", "  ", "x" * 301])
def test_closing_a_flag_says_why(scene, flag, why):
    with pytest.raises(Refused) as refused:
        close_flag(flag_id=flag.public_id, why=why, by=scene.by, on=ON)

    assert (refused.value.field, Flag.objects.get().state) == ("why", "open")


def test_flag_that_ended_is_not_closed_again(scene, flag):
    close_flag(flag_id=flag.public_id, why="Seen", by=scene.by, on=ON)

    with pytest.raises(Refused):
        close_flag(flag_id=flag.public_id, why="Seen once more", by=scene.by, on=ON)

    assert see_flag(flag_id=flag.public_id, by=scene.by, on=ON).state == "closed"


def test_flags_of_another_class_are_out_of_reach(scene, flag):
    head = make.viewer(make.make_member(scene.school, "head"), scene.school)

    for viewer in (stranger_at(scene), cover_of(scene), head):
        with pytest.raises(OutOfScope):
            see_flag(flag_id=flag.public_id, by=viewer, on=ON)
        with pytest.raises(OutOfScope):
            close_flag(flag_id=flag.public_id, why="Seen", by=viewer, on=ON)

    assert Flag.objects.get().state == "open"


def test_two_schools_never_reach_each_others_flags(scene, flag):
    other = make_scene(name="Mill Road School")

    with pytest.raises(OutOfScope):
        see_flag(flag_id=flag.public_id, by=other.by, on=ON)
