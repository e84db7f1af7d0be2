import csv
import io
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.actions.imports.faults import BadFile
from tracker.actions.imports.reading import MOST_BYTES, clean_cell, read_file, separator_of
from tracker.queries.exports import safe_cell
from tracker.queries.names import tidy

HEAD = "ref;name;date"
ROWS = [("P1", "Zoë Müller", "2026-11-20"), ("P2", "Nuñez", "2026-11-20")]
TEXT = "\r\n".join([HEAD, *(";".join(row) for row in ROWS)]) + "\r\n"


def body(content):
    return [row.cells for row in read_file(content).rows]


def refused(content):
    with pytest.raises(BadFile) as caught:
        read_file(content)
    return caught.value.sentence


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le-bom", "utf-16-be-bom"])
def test_every_usual_encoding_gives_the_same_rows(encoding):
    if encoding.endswith("-bom"):
        content = ("\ufeff" + TEXT).encode(encoding.removesuffix("-bom"))
    else:
        content = TEXT.encode(encoding)

    file = read_file(content)

    assert file.head == ("ref", "name", "date")
    assert [row.cells for row in file.rows] == ROWS


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_every_separator_and_line_ending(separator, ending):
    content = TEXT.replace(";", separator).replace("\r\n", ending).encode()

    assert body(content) == ROWS


def test_quoted_cells_hold_separators_quotes_and_line_breaks():
    content = 'ref,name\nP1,"Müller, Zoë\r\n""Zo"""\n"P\n2",Nuñez\n'.encode()

    assert body(content) == [("P1", 'Müller, Zoë "Zo"'), ("P 2", "Nuñez")]


def test_row_numbers_are_those_of_the_spreadsheet():
    file = read_file(b'\n;;\nref;name\nP1;"two\nlines"\n\n;\nP2;Nu\n')

    # A blank row counts, and a cell of two lines is one row.
    assert file.head_number == 3
    assert [row.number for row in file.rows] == [4, 7]


def test_named_separator_is_taken_and_not_counted():
    file = read_file(b"sep=;\r\nref;name, first\r\nP1;Nu\r\n")

    assert (file.head, file.head_number, file.rows[0].number) == (("ref", "name, first"), 1, 2)


@pytest.mark.parametrize(
    ("text", "separator"),
    [('"a, b, c";d', ";"), ('"a\nb, c"\t"d, e"', "\t"), ("title\na,b", ","), ("alone", ","), ("", ",")],
)
def test_separator_is_found_outside_quotes(text, separator):
    assert separator_of(text) == separator


def test_unseen_marks_and_blanks_round_a_cell_are_gone():
    assert clean_cell("\u200f\u202bשרה\u202c \u00a0 כהן\u2069\n") == "שרה כהן"


def test_composed_and_decomposed_letters_are_one():
    assert clean_cell("Zoe\u0308") == clean_cell("Zoë") == "Zoë"


@pytest.mark.parametrize("text", ["=1+1", "+1 sibling", "-2", "@home", "'t Hooft", "'", "|x", "''=x"])
def test_formula_like_cells_are_data_with_and_without_the_guard(text):
    assert clean_cell(safe_cell(text)) == text


@given(st.text(st.characters(codec="utf-8", exclude_characters="\ufffd"), max_size=30).map(tidy).filter(bool))
def test_any_name_survives_writing_and_reading(name):
    out = io.StringIO()
    csv.writer(out).writerows([["ref", "name"], ["P1", safe_cell(name)]])

    assert body(out.getvalue().encode()) == [("P1", name)]


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(content):
    with suppress(BadFile):
        file = read_file(content)
        assert file.rows
        assert all(any(row.cells) for row in file.rows)


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xef\xbb\xbf", b";;;\n;;;\n", b"  \n \t \n"])
def test_empty_file_says_so(content):
    assert refused(content) == "The file is empty."


def test_head_only_says_what_is_missing():
    assert refused(b"ref;name\n;\n") == (
        "The file has only one row. Under a row with the heads of the columns comes a row a pupil."
    )


@pytest.mark.parametrize("content", [b"PK\x03\x04 and more", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and more"])
def test_workbook_says_how_to_save_it(content):
    assert refused(content) == (
        "This is a workbook. Save the sheet as CSV in your spreadsheet program and choose that file."
    )


@pytest.mark.parametrize(
    "content",
    [b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", b"\xff\xd8\xff\xe0\x00\x10JFIF", b"%PDF-1.7\nstream", b"ref\x00;na\x00"],
)
def test_picture_or_page_is_no_text(content):
    assert refused(content) == "This is not a text file. Save the sheet as CSV and choose that file."


@pytest.mark.parametrize("content", ["ref;name\nP1;Zo\ufffd\n".encode(), b"ref;name\nP1;Ren\x8ee \x81\n"])
def test_lost_letters_are_not_loaded(content):
    assert refused(content) == (
        "Some letters of this file can't be read. Save it again as CSV in UTF-8 and choose that file."
    )


@pytest.mark.parametrize("content", [b'ref;name\nP1;"Nu\nP2;Mo\n', b'ref;name\nP1;"Nu"x\n'])
def test_quotation_mark_astray_says_so(content):
    assert refused(content) == (
        "The file can't be read as a table: a quotation mark is opened and not closed, or stands inside a cell."
    )


def test_enormous_cell_says_so():
    assert refused(b"ref;name\nP1;" + b"x" * 150_000) == (
        "One cell holds more than 100,000 characters. A quotation mark may be opened and not closed."
    )


def test_more_rows_than_a_school_has_are_refused():
    assert refused(b"ref;name\n" + b"P1;Nu\n" * 60_000) == (
        "The file has more than 50,000 rows. Split it into smaller files."
    )


def test_many_blank_rows_are_no_rows():
    assert len(read_file(b"ref;name\nP1;Nu\n" + b";\n" * 60_000).rows) == 1


def test_large_file_is_refused_before_it_is_read():
    assert refused(b"x" * (MOST_BYTES + 1)) == "The file is larger than 2 MB. Split it into smaller files."
