"""Bytes to rows of cells: any usual encoding, separator and quoting; blank lines left out."""

import csv
import io
import re
from dataclasses import dataclass

from django.utils.translation import gettext as _

from tracker.actions.imports.faults import BadFile
from tracker.queries.exports import bare_cell
from tracker.queries.names import tidy

MOST_BYTES = 2_000_000
MOST_ROWS = 50_000
SEPARATORS = (",", ";", "\t")
WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
UTF_16 = (b"\xff\xfe", b"\xfe\xff")
# No text holds these; a picture or a printed page does.
NOT_TEXT = re.compile("[\x00-\x08\x0e-\x1f]|\\A%PDF")
LOST_LETTER = "\ufffd"
# Some programs name the separator in a first line that no spreadsheet shows or counts.
NAMED_SEPARATOR = re.compile("\\Asep=([,;\t])\r?\n?")
QUOTED = re.compile('"(?:[^"]|"")*"')


@dataclass(frozen=True)
class FileRow:
    """One line of the file, by the row number a spreadsheet shows."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class FileRows:
    head: tuple[str, ...]
    head_number: int
    rows: tuple[FileRow, ...]


def read_file(content: bytes) -> FileRows:
    if len(content) > MOST_BYTES:
        raise BadFile(_("The file is larger than 2 MB. Split it into smaller files."))
    if content.startswith(WORKBOOKS):
        raise BadFile(_("This is a workbook. Save the sheet as CSV in your spreadsheet program and choose that file."))
    lines = _lines(_text(content))
    if not lines:
        raise BadFile(_("The file is empty."))
    if len(lines) == 1:
        raise BadFile(_("The file has only one row. Under a row with the heads of the columns comes a row a pupil."))
    return FileRows(head=lines[0].cells, head_number=lines[0].number, rows=tuple(lines[1:]))


def _text(content: bytes) -> str:
    text = _decoded(content)
    if NOT_TEXT.search(text):
        raise BadFile(_("This is not a text file. Save the sheet as CSV and choose that file."))
    if LOST_LETTER in text:
        raise BadFile(_("Some letters of this file can't be read. Save it again as CSV in UTF-8 and choose that file."))
    return text


def _decoded(content: bytes) -> str:
    if content.startswith(UTF_16):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _lines(text: str) -> list[FileRow]:
    filled = [(number, cells) for number, cells in enumerate(_records(text), start=1) if any(map(str.strip, cells))]
    if len(filled) > MOST_ROWS:
        raise BadFile(_("The file has more than 50,000 rows. Split it into smaller files."))
    rows = (FileRow(number, tuple(map(clean_cell, cells))) for number, cells in filled)
    return [row for row in rows if any(row.cells)]


def _records(text: str) -> list[list[str]]:
    named = NAMED_SEPARATOR.match(text)
    separator = named[1] if named else separator_of(text)
    body = text[named.end() :] if named else text
    try:
        return list(csv.reader(io.StringIO(body, newline=""), delimiter=separator, strict=True))
    except csv.Error as error:
        raise BadFile(_unreadable(str(error))) from error


def _unreadable(error: str) -> str:
    if "field limit" in error:
        return _("One cell holds more than 100,000 characters. A quotation mark may be opened and not closed.")
    return _("The file can't be read as a table: a quotation mark is opened and not closed, or stands inside a cell.")


def separator_of(text: str) -> str:
    """The separator that parts the first line that holds one, quoted text set aside."""
    for line in QUOTED.sub("", text).splitlines():
        counts = {separator: line.count(separator) for separator in SEPARATORS}
        if any(counts.values()):
            return max(SEPARATORS, key=lambda separator: counts[separator])
    return ","


def clean_cell(cell: str) -> str:
    """A cell as it was meant: no unseen marks and outer blanks, line breaks as blanks, the formula guard taken off."""
    return bare_cell(tidy(" ".join(cell.split())))
