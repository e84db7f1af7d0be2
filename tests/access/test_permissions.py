"""What a viewer may do with one check, whatever they may do elsewhere."""

import pytest

from tests import builders as make
from tests.actions.scene import colleague_of, cover_of, make_scene, visitor_to
from tracker.access.permissions import may, may_close, sees_history


@pytest.fixture
def scene(db):
    return make_scene()


@pytest.mark.parametrize(
    ("who", "roles", "history", "closes"),
    [
        (colleague_of, [], True, True),
        (cover_of, [], False, False),
        (visitor_to, [], False, False),
        (visitor_to, ["assistant"], False, False),
        (visitor_to, ["coordinator"], True, False),
    ],
    ids=["own teacher", "cover", "visiting teacher", "visiting assistant", "visiting coordinator"],
)
def test_history_and_closing_follow_the_class_of_the_check(scene, who, roles, history, closes):
    viewer, check = who(scene, *roles), make.make_check(scene.group)

    assert (sees_history(viewer, check), may_close(viewer, check)) == (history, closes)


def test_visiting_teacher_keeps_both_in_the_own_class(scene):
    viewer = visitor_to(scene)
    own = make.make_check(viewer.user.teachings.get(cover=False).class_group)

    assert (sees_history(viewer, own), may_close(viewer, own)) == (True, True)


def test_who_never_covers_costs_no_statement(scene, django_assert_num_queries):
    check = make.make_check(scene.group)

    with django_assert_num_queries(0):
        assert sees_history(scene.by, check)
        assert may_close(scene.by, check)


def test_right_is_asked_for_first(scene):
    head = make.viewer(make.make_member(scene.school, "head"), scene.school)
    check = make.make_check(scene.group)

    assert (may(head, "close-checks"), may_close(head, check), sees_history(head, check)) == (False, False, True)
