"""Sheets of the school."""

import pytest
from django.http import Http404

from tests import builders
from tests.builders import TODAY
from tests.web.class_scene import make_class_scene
from tracker.queries import sheets

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return make_class_scene()


def test_sheets_stand_in_ladder_order_without_retired_ones(scene):
    second = builders.make_sheet(scene.school, "sub-2d-regroup", form=2)
    first = builders.make_sheet(scene.school, "sub-2d-regroup", form=1)
    tens = builders.make_sheet(scene.school, "add-tens")
    builders.make_sheet(scene.school, "sub-tens", retired_on=TODAY)
    builders.make_sheet(builders.make_school("Mill Road School"), "add-tens")

    assert list(sheets.sheets(scene.viewer)) == [tens, first, second]


def test_sheet_of_another_school_is_not_there(scene):
    sheet = builders.make_sheet(builders.make_school("Mill Road School"))

    with pytest.raises(Http404):
        sheets.sheet(scene.viewer, sheet.public_id)


def test_items_come_in_printed_order(scene):
    check = scene.plan((builders.make_pupil(scene.group), "add-tens"))
    sheet = check.attempts.get().sheet

    assert [item.number for item in sheets.items(scene.viewer, [sheet.pk])] == list(range(1, 43))
