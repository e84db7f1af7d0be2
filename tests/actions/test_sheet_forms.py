"""One more form of a sheet, asked for by a teacher."""

import pytest

from tests import builders
from tests.builders import TODAY
from tests.web.class_scene import make_class_scene
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.sheet_forms import make_form
from tracker.actions.sheets import FORMS
from tracker.measures.sheets import timed_sheet
from tracker.models import ChangeRecord, Sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_class_scene().viewer


def test_form_follows_the_last_one_with_items_of_its_own(by):
    first, second = (make_form(skill_key="sub-2d-regroup", by=by, on=TODAY) for _ in range(2))

    assert (first.form, second.form) == (1, 2)
    assert second.digest == timed_sheet("sub-2d-regroup", 2).digest != first.digest
    assert second.items.count() == 42


def test_form_is_on_record(by):
    sheet = make_form(skill_key="add-tens", by=by, on=TODAY)

    change = ChangeRecord.objects.get(action="make-sheet")
    assert (change.subject_key, change.after) == (sheet.public_id, {"code": sheet.code})


@pytest.mark.parametrize("off", [True, False])
def test_form_of_a_skill_that_the_school_lacks_is_refused(by, off):
    by.school.skills_off = ["add-tens"] if off else []
    by.school.save()

    with pytest.raises(Refused, match="This school does not use that skill") as refused:
        make_form(skill_key="add-tens" if off else "juggling", by=by, on=TODAY)

    assert refused.value.field == "skill"
    assert Sheet.objects.count() == 0


def test_form_beyond_the_last_is_refused(by):
    builders.make_sheet(by.school, "add-tens", form=FORMS)

    with pytest.raises(Refused, match="All 10 forms"):
        make_form(skill_key="add-tens", by=by, on=TODAY)


def test_form_is_for_teachers():
    school = builders.make_school()

    with pytest.raises(OutOfScope):
        make_form(skill_key="add-tens", by=builders.viewer(builders.make_member(school, "coordinator")), on=TODAY)
