"""Who opened pages about a pupil: one row a user, pupil and day."""

from datetime import timedelta

import pytest

from tests import builders
from tests.builders import TODAY
from tracker.actions.access_records import note_opened
from tracker.models import AccessRecord

pytestmark = pytest.mark.django_db


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def pupil(school):
    return builders.make_pupil(builders.make_class(school))


@pytest.fixture
def head(school):
    return builders.viewer(builders.make_member(school, "head"), school)


def test_pages_of_one_day_make_one_row(pupil, head):
    for _ in range(3):
        note_opened(pupil=pupil, by=head, on=TODAY)

    row = AccessRecord.objects.get()
    assert (row.user_key, row.pupil_key, row.on) == (head.user.pk, pupil.public_id, TODAY)
    assert row.school_key == pupil.school_id


def test_another_day_and_another_person_make_rows_of_their_own(school, pupil, head):
    other = builders.viewer(builders.make_member(school, "coordinator"), school)
    for viewer in (head, other):
        for days in (0, 1):
            note_opened(pupil=pupil, by=viewer, on=TODAY + timedelta(days=days))

    assert AccessRecord.objects.count() == 4


@pytest.mark.django_db(transaction=True)
def test_opening_costs_one_statement(pupil, head, django_assert_num_queries):
    note_opened(pupil=pupil, by=head, on=TODAY)

    # BEGIN, the statement, COMMIT.
    with django_assert_num_queries(3) as statements:
        note_opened(pupil=pupil, by=head, on=TODAY)
    assert [each["sql"].split()[0] for each in statements.captured_queries] == ["BEGIN", "INSERT", "COMMIT"]


def test_record_outlives_the_pupil(pupil, head):
    note_opened(pupil=pupil, by=head, on=TODAY)
    pupil.delete()

    assert AccessRecord.objects.count() == 1
