"""What is wrong in a file: where it stands, and a sentence that says what is allowed."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

LONGEST_SHOWN = 40


@dataclass(frozen=True)
class Fault:
    """`row` is counted as a spreadsheet counts. Without a column it is about the whole row."""

    row: int
    column: str
    sentence: str

    def __str__(self) -> str:
        if not self.column:
            return _("Row %(row)s: %(sentence)s") % {"row": self.row, "sentence": self.sentence}
        return _("Row %(row)s, column “%(column)s”: %(sentence)s") % {
            "row": self.row,
            "column": self.column,
            "sentence": self.sentence,
        }


class BadFile(ValueError):
    """The file cannot be read at all."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class BadCell(ValueError):
    """One cell holds something that is not allowed there."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def shown(text: str) -> str:
    """A cell as it is quoted in a sentence; a whole page pasted into one is cut short."""
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 1]}…"
