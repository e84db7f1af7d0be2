import pytest

from tracker.actions.imports.columns import ROSTER, SCORES, find_columns, overlong
from tracker.actions.imports.reading import FileRow, FileRows
from tracker.queries.names import fold

NEEDED = (("school_ref", "name"), ("skill",))


def found(*head, known=SCORES, needed=NEEDED):
    return find_columns(FileRows(head=head, head_number=2, rows=()), known, needed=needed)


def sentences(columns):
    return [(fault.row, fault.column, fault.sentence) for fault in columns.faults]


def test_heads_in_any_order_case_and_punctuation():
    columns = found("SKILL", "pupil-ID", "Digits  Wrong", "", "Date_taken")

    assert dict(columns.places) == {"skill": 0, "school_ref": 1, "wrong": 2, "date": 4}
    assert columns.faults == ()


def test_accents_in_heads_do_not_matter():
    assert dict(found("Réf", "Skíll").places) == {"school_ref": 0, "skill": 1}


def test_unknown_heads_are_named_and_left_alone():
    columns = found("ref", "skill", "Eye colour", "x" * 100)

    assert columns.ignored == ("Eye colour", "x" * 39 + "…")


def test_missing_columns_are_all_named():
    assert sentences(found("date")) == [
        (2, "", "One of these columns is needed: “school reference”, “name”."),
        (2, "", "A column is missing: “skill”."),
    ]


def test_two_columns_for_one_field_are_refused():
    assert sentences(found("Ref", "skill", "Pupil ID")) == [
        (2, "Pupil ID", "This column says the same as “Ref”. Keep one of them.")
    ]


@pytest.mark.parametrize("known", [ROSTER, SCORES])
def test_no_word_stands_for_two_fields(known):
    words = [fold(word) for name, synonyms in known.items() for word in {fold(name), *map(fold, synonyms)}]

    assert sorted(words) == sorted(set(words))


def test_cell_of_a_short_row_is_empty():
    assert found("ref", "skill").cell(FileRow(2, ("P1",)), "skill") == ""


@pytest.mark.parametrize(
    ("cells", "is_total"),
    [
        (("Total", "", "540"), True),
        (("", "", "540"), False),
        (("CLASS AVERAGE:", "", "23,5"), True),
        (("Total", "sub-tens", "540"), False),
        (("Total", "", "Anna"), False),
        (("P1", "", "540"), False),
    ],
)
def test_total_is_a_line_that_says_so_and_lacks_what_a_pupil_needs(cells, is_total):
    assert found("ref", "skill", "correct").is_total(FileRow(2, cells), NEEDED) is is_total


def test_child_called_sum_is_no_total():
    columns = found("name", "ref", "class", "grade", known=ROSTER, needed=(("name",), ("grade",)))

    assert columns.is_total(FileRow(2, ("Sum", "1023", "3", "3")), (("name",), ("grade",))) is False


def test_row_with_more_cells_than_heads_is_refused():
    head = ("ref", "correct", "wrong", "")
    rows = [FileRow(2, ("P1", "24", "0", "3")), FileRow(3, ("P1", "24", "3", "")), FileRow(4, ("P1",))]

    assert [(fault.row, fault.sentence[:51]) for fault in overlong(head, rows)] == [
        (2, "This row has more cells than there are heads. A cel")
    ]
