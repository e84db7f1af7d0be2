"""Files out: no cell runs as a formula, and what goes out comes in again unchanged."""

import csv
import io

import pytest
from django.http import Http404
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import builders as make
from tests.actions.imports.files import KEY, ON, make_office
from tracker.models import Attempt, Check, Enrolment, Pupil
from tracker.queries.exports import bare_cell, safe_cell, write_csv
from tracker.queries.names import sort_name, tidy

# What starts a formula: ASVS 5.0, item 1.2.10, and OWASP, "CSV Injection" (MEMORY): equals, plus, minus, at, tab,
# carriage return, line feed and the full-width forms; the bar calls programs in old spreadsheets (MEMORY).
STARTS = ["=", "+", "-", "@", "\t", "\r", "\n", "|", "＝", "＋", "－", "＠"]


def written(viewer, kind):
    out = io.StringIO(newline="")
    write_csv(viewer, kind, out)
    return out.getvalue()


@pytest.mark.parametrize("start", STARTS)
@pytest.mark.parametrize("before", ["", " ", "\u200f", "\u200e ", "\u00a0", "'", "\u2067"])
def test_what_starts_a_formula_is_guarded(start, before):
    text = f"{before}{start}SUM(1)"

    assert safe_cell(text) == f"'{text}"
    assert bare_cell(f"'{text}") == text


@pytest.mark.parametrize("value", ["Anouk", "O'Brien", "'t Hooft", "", "A=1", "2026-11-20", -3, 24, 1.5])
def test_other_cells_stay_as_they_are(value):
    assert safe_cell(value) == value


def test_nothing_is_an_empty_cell():
    assert safe_cell(None) == ""


@given(st.text())
def test_guard_comes_off_again(text):
    assert bare_cell(safe_cell(text)) == text


@given(st.text(min_size=1))
def test_no_guarded_cell_starts_a_formula(text):
    assert safe_cell(text)[0] not in STARTS


@pytest.fixture
def office(db):
    return make_office()


@pytest.mark.parametrize("role", ["teacher", "head", "parent"])
def test_others_get_nothing(office, role):
    with pytest.raises(Http404):
        written(make.viewer(make.make_member(office.school, role), office.school), "roster")


def test_another_schools_rows_stay_there(office):
    make_office(name="Second School").pupil(school_ref="B1")
    office.pupil(school_ref="A1")

    assert [line[:2] for line in written(office.by, "roster").splitlines()[1:]] == ["A1"]


def test_scores_out_hold_what_was_kept(office):
    make.make_sheet(office.school, code="K7")
    pupil = office.pupil(school_ref="A1")
    check = make.make_check(office.group)
    make.make_attempt(check, pupil, correct=24, wrong=3, sheet=office.school.sheets.get(), setting="home")
    make.make_attempt(check, pupil, "add-tens", status="absent")
    make.make_attempt(check, pupil, "sub-tens")

    rows = list(csv.reader(io.StringIO(written(office.by, "scores"))))[1:]

    assert rows == [
        ["A1", "Anouk", "Verhaegen", "Heron", KEY, "2026-11-20", "K7", "24", "3", "0", "120", "done", "home",
         "written", ""],
        ["A1", "Anouk", "Verhaegen", "Heron", "add-tens", "2026-11-20", "", "", "", "", "120", "absent", "class",
         "written", ""],
    ]  # fmt: skip


NAMES = st.text(st.characters(codec="utf-8", exclude_characters="\ufffd"), max_size=20).map(tidy)
AWKWARD = st.sampled_from(
    [
        "=1+1",
        "+Ana",
        "-Ana",
        "@home",
        "O'Brien",
        "'t Hooft",
        "''",
        'Zo"e',
        "Ana; B, C",
        "שרה",
        "مريم",
        "n\u200dn",
        "Sum",
    ]
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    given_name=(NAMES | AWKWARD).filter(bool), family_name=NAMES | AWKWARD, class_name=(NAMES | AWKWARD).filter(bool)
)
def test_export_loaded_again_changes_nothing(office, given_name, family_name, class_name):
    Pupil.objects.all().delete()
    office.group.name = class_name
    office.group.save()
    pupil = office.pupil(given_name, family_name, sort_name=sort_name(given_name, family_name))
    for day in (ON, make.YEAR_STARTS):
        check = Check.objects.filter(on=day).first() or make.make_check(office.group, on=day, state="closed",
                                                                       closed_at=make.NOW)  # fmt: skip
        make.make_attempt(check, pupil, correct=24, wrong=3)
    before = (list(Pupil.objects.values()), list(Enrolment.objects.values()), list(Attempt.objects.values()))

    for kind in ("roster", "scores"):
        plan = office.preview(written(office.by, kind), kind)
        assert (plan.faults, plan.warnings, plan.changes_something) == ((), (), False)
        assert office.load(written(office.by, kind), kind) is None

    assert (list(Pupil.objects.values()), list(Enrolment.objects.values()), list(Attempt.objects.values())) == before


def test_export_fills_an_empty_school(office):
    pupil = office.pupil("=Zoë", "O’Brien, jr", school_ref="A1", joined_on=make.YEAR_STARTS)
    check = make.make_check(office.group)
    make.make_attempt(check, pupil, correct=24, wrong=3, confirmed=True)
    make.make_attempt(check, pupil, "add-tens", status="absent", seconds=None)
    make.make_attempt(check, pupil, "sub-tens", status="stopped", correct=None, wrong=None, omitted=None, seconds=None)
    second = make_office(name="Second School")

    second.load(written(office.by, "roster"), "roster")
    second.load(written(office.by, "scores"))

    for kind in ("roster", "scores"):
        assert written(second.by, kind) == written(office.by, kind)
