"""Bytes to rows of cells: any usual encoding, separator and quoting; blank lines and totals left out."""

import csv
import io
import unicodedata
from dataclasses import dataclass

from django.utils.translation import gettext as _

from tracker.actions.imports.faults import BadFile

MOST_BYTES = 2_000_000
MOST_ROWS = 50_000
SEPARATORS = (",", ";", "\t")
# What a first cell says in a line that sums up a column.
TOTALS = {"total", "totals", "grand total", "sum", "average", "mean", "median", "class total", "class average", "count"}
# Marks that decide the direction of letters; programs add them unseen around right-to-left names.
UNSEEN = dict.fromkeys([0x200B, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFEFF])
FORMULA_STARTS = "=+-@|\t\r\n"


@dataclass(frozen=True)
class FileRow:
    """One line of the file, by the row number a spreadsheet shows."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class FileRows:
    head: tuple[str, ...]
    rows: tuple[FileRow, ...]
    totals_left_out: int


def read_file(content: bytes) -> FileRows:
    if len(content) > MOST_BYTES:
        raise BadFile(_("The file is larger than 2 MB. Split it into smaller files."))
    if content[:4] == b"PK\x03\x04" or content[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        raise BadFile(_("This is a workbook. Save the sheet as CSV in your spreadsheet program and choose that file."))
    lines = _numbered(_text(content))
    if not lines:
        raise BadFile(_("The file is empty."))
    if len(lines) > MOST_ROWS:
        raise BadFile(_("The file has more than 50,000 rows. Split it into smaller files."))
    head, body = lines[0], lines[1:]
    kept = [row for row in body if not is_total(row.cells)]
    return FileRows(head=head.cells, rows=tuple(kept), totals_left_out=len(body) - len(kept))


def _text(content: bytes) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", errors="replace")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Windows-1252 leaves five bytes without a letter; they never stand in a name.
        text = content.decode("cp1252", errors="replace")
    if "\x00" in text:
        raise BadFile(_("This is not a text file. Save the sheet as CSV and choose that file."))
    return text


def _numbered(text: str) -> list[FileRow]:
    try:
        records = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator_of(text), strict=True))
    except csv.Error as error:
        raise BadFile(
            _("The file cannot be read as a table: a quotation mark is opened and not closed, or stands inside a cell.")
        ) from error
    rows = (FileRow(number, tuple(clean_cell(cell) for cell in cells)) for number, cells in enumerate(records, start=1))
    return [row for row in rows if any(row.cells)]


def separator_of(text: str) -> str:
    """The separator that parts the first line that holds one, quoted text set aside."""
    for line in text.splitlines():
        if line.startswith("sep=") and len(line) == 5:
            return line[4]
        bare = "".join(line.split('"')[::2])
        counts = {separator: bare.count(separator) for separator in SEPARATORS}
        if any(counts.values()):
            return max(SEPARATORS, key=lambda separator: counts[separator])
    return ","


def clean_cell(cell: str) -> str:
    """A cell as it was meant: unseen marks and outer blanks gone, line breaks as blanks, our own guard taken off."""
    text = unicodedata.normalize("NFC", cell).translate(UNSEEN).replace("\xa0", " ")
    text = " ".join(text.split())
    if len(text) > 1 and text[0] == "'" and text[1] in FORMULA_STARTS:
        return text[1:]
    return text


def is_total(cells: tuple[str, ...]) -> bool:
    """A line that sums up: its first filled cell says so, and no other cell holds a word."""
    filled = [cell for cell in cells if cell]
    first = filled[0].casefold().rstrip(":").strip()
    return first in TOTALS and all(not any(letter.isalpha() for letter in cell) for cell in filled[1:])
