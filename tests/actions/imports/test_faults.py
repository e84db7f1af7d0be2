from tracker.actions.imports.faults import Fault, shown


def test_fault_says_row_and_column():
    assert str(Fault(3, "Digits wrong", "That is too many.")) == "Row 3, column “Digits wrong”: That is too many."


def test_fault_of_a_whole_row_names_no_column():
    assert str(Fault(3, "", "It stands twice.")) == "Row 3: It stands twice."


def test_shown_cuts_a_long_cell_short():
    assert shown("short") == "short"
    assert shown("x" * 41) == "x" * 39 + "…"
