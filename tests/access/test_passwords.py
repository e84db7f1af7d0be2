"""The school's name is no password."""

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from tests import builders
from tracker.access.passwords import SchoolNameValidator

pytestmark = pytest.mark.django_db


@pytest.fixture
def user():
    return builders.make_member(builders.make_school("Harbour Lane School"), "teacher")


@pytest.mark.parametrize("password", ["harbour lane school", "HarbourLane2026!", "doublerule again", "lane99school!"])
def test_password_made_of_the_schools_name_is_refused(user, password):
    with pytest.raises(ValidationError) as refused:
        SchoolNameValidator().validate(password, user)

    assert refused.value.code == "password_school_name"


@pytest.mark.parametrize("password", ["harbour seven brown bricks", "four quiet green stones", "8264-1175-9920-3371"])
def test_password_with_enough_else_in_it_passes(user, password):
    SchoolNameValidator().validate(password, user)
    validate_password(password, user)


def test_password_of_another_schools_name_is_only_a_password(user):
    SchoolNameValidator().validate("meadow view academy", user)
