"""Namesakes in one list carry the school's reference; nobody else does."""

import pytest

from tests import builders as make
from tracker.progress.called import called

pytestmark = pytest.mark.django_db


def test_called_namesakes_carry_the_reference():
    group = make.make_class(make.make_school())
    first = make.make_pupil(group, "Zoë", "Martin", school_ref="A1")
    second = make.make_pupil(group, "Zoe", "Martin", school_ref="A2")
    other = make.make_pupil(group, "Ines", "Martin", school_ref="A3")

    names = called([first, second, other, first])

    assert names == {first.pk: "Zoë Martin (A1)", second.pk: "Zoe Martin (A2)", other.pk: "Ines Martin"}
