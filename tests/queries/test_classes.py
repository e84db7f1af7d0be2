"""Classes and who is in them, by viewer and day."""

from datetime import timedelta

import pytest
from django.http import Http404

from tests import builders
from tests.builders import TODAY
from tests.web.class_scene import make_class_scene
from tracker.models import Teaching
from tracker.queries import classes

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return make_class_scene()


def test_class_to_plan_is_a_taught_one_only(scene):
    coordinator = builders.viewer(builders.make_member(scene.school, "coordinator"))

    assert classes.class_to_plan(scene.viewer, scene.group.public_id) == scene.group
    assert classes.class_group(coordinator, scene.group.public_id) == scene.group
    with pytest.raises(Http404):
        classes.class_to_plan(coordinator, scene.group.public_id)


def test_class_of_another_school_is_not_there(scene):
    elsewhere = builders.viewer(builders.make_member(builders.make_school("Mill Road School"), "head"))

    with pytest.raises(Http404):
        classes.class_group(elsewhere, scene.group.public_id)


def test_taught_classes_are_those_of_this_year_without_cover(scene):
    covered = builders.make_class(scene.school, "Otter")
    builders.give_class(scene.teacher, covered, cover=True)
    builders.join(scene.teacher, scene.school, "cover")

    assert list(classes.taught_classes(scene.viewer)) == [scene.group]
    assert classes.is_taught(scene.viewer, scene.group.public_id) is True
    assert classes.is_taught(scene.viewer, covered.public_id) is False


def test_teaching_ends_with_its_date(scene):
    Teaching.objects.update(ends=TODAY - timedelta(days=1))

    assert list(classes.taught_classes(scene.viewer)) == []


def test_places_are_those_of_the_day_in_the_order_of_names(scene):
    late, early = builders.make_pupil(scene.group, "Zoë", "Young"), builders.make_pupil(scene.group, "Aino", "Brandt")
    late.enrolments.update(starts=TODAY)

    assert [place.pupil for place in classes.class_places(scene.viewer, scene.group)] == [early, late]
    before = classes.class_places(scene.viewer, scene.group, TODAY - timedelta(days=1))
    assert [place.pupil for place in before] == [early]
