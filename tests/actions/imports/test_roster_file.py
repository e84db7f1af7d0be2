"""Files of pupils as offices really keep them."""

from datetime import date, timedelta

import pytest

from tests import builders as make
from tests.actions.imports.files import ON, ROSTER_HEAD, make_office, table
from tracker.actions.errors import Refused
from tracker.models import ChangeRecord, ClassGroup, Enrolment, Pupil, SchoolYear

JUNE = date(2027, 6, 25)


@pytest.fixture
def office(db):
    return make_office()


def roster(*rows, head=ROSTER_HEAD):
    return table(head, *rows)


def load(office, *rows, head=ROSTER_HEAD, on=ON):
    return office.load(roster(*rows, head=head), "roster", on=on)


def faults(office, *rows, head=ROSTER_HEAD):
    return office.faults(roster(*rows, head=head), "roster")


def places():
    rows = Enrolment.objects.order_by("pupil__school_ref", "starts")
    return list(rows.values_list("pupil__school_ref", "class_group__name", "grade", "starts", "ends"))


def test_pupils_and_classes_are_made(office):
    batch = load(office, ["A1", "Zoë", "Müller", "heron", "Y3"], ["A2", "שרה", "כהן", "Kite", "4th"])

    assert list(Pupil.objects.values_list("school_ref", "given_name", "family_name", "sort_name")) == [
        ("A1", "Zoë", "Müller", "muller zoe"), ("A2", "שרה", "כהן", "כהן שרה")
    ]  # fmt: skip
    assert places() == [("A1", "Heron", 3, make.YEAR_STARTS, None), ("A2", "Kite", 4, make.YEAR_STARTS, None)]
    assert (batch.rows, batch.made) == (2, 2)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_offices_own_heads_separator_and_encoding(office, encoding, separator):
    text = "Year Group|SURNAME|Forename|Adm. No.|Form Group|Bus\n3|Müller|Zoë|A1|Kite|north\n\nTotal|||1|1|\n"

    batch = office.load(text.replace("|", separator).encode(encoding), "roster")

    assert (batch.rows, str(Pupil.objects.get())) == (1, "Zoë Müller")


def test_formula_like_cells_are_data(office):
    load(office, ["=R1", "+Ana", "@home", "-Kite", 3], ["'=R2", "'t", "Hooft", "Heron", 3])

    assert set(Pupil.objects.values_list("school_ref", "given_name")) == {("=R1", "+Ana"), ("=R2", "'t")}
    assert ClassGroup.objects.filter(name="-Kite").exists()


@pytest.mark.parametrize(
    ("written", "kept"),
    [("Ana Maria Ruiz", ("Ana Maria", "Ruiz")), ("Ruiz, Ana Maria", ("Ana Maria", "Ruiz")), ("Putri", ("Putri", ""))],
)
def test_whole_name_is_parted(office, written, kept):
    load(office, ["A1", written, "Heron", 3], head="ref,name,class,grade")

    assert Pupil.objects.values_list("given_name", "family_name").get() == kept


def test_whole_name_that_the_record_holds_parts_as_it_does_there(office):
    office.pupil("Ana", "Ruiz Ortega", school_ref="A1")

    assert load(office, ["A1", "Ana Ruiz Ortega", "Heron", 3], head="ref,name,class,grade") is None


def test_same_file_twice_changes_nothing(office):
    rows = [["A1", "Zoë", "Müller", "Kite", 3], ["A2", "Ana", "", "Heron", 3]]
    load(office, *rows)
    before = (places(), ChangeRecord.objects.count())

    assert load(office, *rows) is None
    assert (places(), ChangeRecord.objects.count()) == before


def test_reference_in_another_case_is_the_same_pupil(office):
    office.pupil(school_ref="a1")

    assert load(office, ["A1", "Anouk", "Verhaegen", "HERON", 3]) is None


def test_moved_pupil_ends_one_place_the_day_before_the_next(office):
    office.pupil(school_ref="A1")

    load(office, ["A1", "Anouk", "Verhaegen", "Otter", 4])

    assert places() == [
        ("A1", "Heron", 3, make.YEAR_STARTS, ON - timedelta(days=1)), ("A1", "Otter", 4, ON, None)
    ]  # fmt: skip


def test_changed_name_keeps_the_place_and_stands_nowhere_in_the_record_of_changes(office):
    office.pupil(school_ref="A1")

    load(office, ["A1", "Annie", "Smit", "Heron", 3])

    assert Pupil.objects.values_list("given_name", "family_name", "sort_name").get() == ("Annie", "Smit", "smit annie")
    assert places() == [("A1", "Heron", 3, make.YEAR_STARTS, None)]
    kept = str(list(ChangeRecord.objects.values_list("before", "after")))
    assert not {"Annie", "Smit", "Anouk", "Verhaegen"} & set(kept.replace("'", " ").split())


def test_pupils_who_are_not_in_the_file_stay(office):
    office.pupil(school_ref="A1")

    load(office, ["A2", "Ben", "Ode", "Heron", 3])

    assert [row[0] for row in places()] == ["A1", "A2"]


def test_class_written_two_ways_is_one(office):
    load(office, ["A1", "Ana", "", "Kite", 3], ["A2", "Ben", "", "KITE", 3], ["A3", "Cem", "", "★", 3])

    assert set(ClassGroup.objects.values_list("name", flat=True)) == {"Heron", "Kite", "★"}


def test_joined_later_begins_later(office):
    load(office, ["A1", "Ana", "", "Heron", 3, "05/10/2026"], head=f"{ROSTER_HEAD},joined")

    assert places() == [("A1", "Heron", 3, date(2026, 10, 5), None)]
    assert Pupil.objects.get().joined_on == date(2026, 10, 5)


def test_other_first_day_of_a_known_pupil_is_pointed_out(office):
    office.pupil(school_ref="A1")
    content = roster(["A1", "Anouk", "Verhaegen", "Heron", 3, "2026-10-05"], head=f"{ROSTER_HEAD},joined")

    plan = office.preview(content, "roster")

    assert plan.warnings == ("1 pupil is on record with another first day than in the file. The record stays.",)
    assert plan.changes_something is False


def test_next_year_is_prepared_in_the_holidays(office):
    office.pupil(school_ref="A1")
    holidays = date(2027, 7, 20)
    starts = date(2027, 9, 6)
    SchoolYear.objects.create(school=office.school, name="2027/28", starts=starts, ends=date(2028, 7, 1))

    load(office, ["A1", "Anouk", "Verhaegen", "Heron", 4], ["B2", "Ben", "", "Heron", 4], on=holidays)

    assert places() == [
        ("A1", "Heron", 3, make.YEAR_STARTS, starts - timedelta(days=1)),
        ("A1", "Heron", 4, starts, None),
        ("B2", "Heron", 4, starts, None),
    ]
    assert ClassGroup.objects.filter(name="Heron").count() == 2


def test_without_a_year_the_file_is_refused(office):
    with pytest.raises(Refused) as caught:
        load(office, ["A1", "Ana", "", "Heron", 3], on=date(2027, 8, 1))

    assert caught.value.sentence == "No school year holds today or is still to come. Add one before pupils."


@pytest.mark.parametrize(
    ("cells", "sentence"),
    [
        (["", "Ana", "", "Heron", 3], "Row 2, column “reference”: Every pupil needs the school’s own reference."),
        (["A1", "", "", "Heron", 3], "Row 2, column “given name”: Every pupil needs a name."),
        (["A1", "Ana", "", "", 3], "Row 2, column “class”: Every pupil needs a class."),
        (["A1", "Ana", "", "Heron", ""], "Row 2, column “grade”: Every pupil needs a grade."),
        (
            ["A1", "Ana", "", "Heron", "third"],
            "Row 2, column “grade”: “third” is not a grade: a number from 0 to 13.",
        ),
        (["x" * 41, "Ana", "", "Heron", 3], "Row 2, column “reference”: At most 40 characters fit here."),
        (["A1", "x" * 81, "", "Heron", 3], "Row 2, column “given name”: At most 80 characters fit here."),
        (["A1", "Ana", "x" * 81, "Heron", 3], "Row 2, column “family name”: At most 80 characters fit here."),
        (["A1", "Ana", "", "x" * 61, 3], "Row 2, column “class”: At most 60 characters fit here."),
    ],
)
def test_fault_is_told_by_row_and_column(office, cells, sentence):
    assert faults(office, cells) == [sentence]


def test_two_rows_for_one_pupil(office):
    assert faults(office, ["A1", "Ana", "", "Heron", 3], ["a1", "Ben", "", "Heron", 3]) == [
        "Row 3, column “reference”: This reference stands in row 2 already; each pupil has their own."
    ]


def test_joined_after_the_year(office):
    assert faults(office, ["A1", "Ana", "", "Heron", 3, "2027-09-01"], head=f"{ROSTER_HEAD},joined") == [
        "Row 2, column “joined”: This is after the school year ends."
    ]


@pytest.mark.parametrize("day", ["0001-01-01", "0026-09-07", "1900-01-01"])
def test_joined_longer_ago_than_anybody_is_at_school(office, day):
    assert faults(office, ["A1", "Ana", "", "Heron", 3, day], head=f"{ROSTER_HEAD},joined") == [
        "Row 2, column “joined”: This is more than 20 years ago. Mend the day or empty the cell."
    ]


def test_move_beside_one_that_is_still_to_come(office):
    pupil = office.pupil(school_ref="A1")
    pupil.enrolments.update(ends=JUNE - timedelta(days=1))
    kite = make.make_class(office.school, "Kite")
    Enrolment.objects.create(school=office.school, pupil=pupil, class_group=kite, grade=3, starts=JUNE)

    assert load(office, ["A1", "Anouk", "Verhaegen", "Heron", 3]) is None
    assert faults(office, ["A1", "Anouk", "Verhaegen", "Otter", 3]) == [
        "Row 2, column “class”: This pupil moves to another class at a later day already. Change that on the pupil’s "
        "own page."
    ]
