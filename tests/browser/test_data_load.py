"""The story of a real spreadsheet: two readable messages, two cells mended, and the scores are in."""

from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests import builders as make
from tests.actions.imports.files import KEY, ROSTER_HEAD, make_office, table
from tracker.models import Attempt, SchoolYear

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# A teacher's own list: semicolons and Windows letters, own heads, a cell of two lines, a blank line, namesakes, a
# decimal comma, a sign for absent, a cell that begins with =, a total; and two things that can't be.
SHEET = """Seat;Pupil;Roll Number;TOPIC;Day;Minutes;Right;Mistakes
=A1;Zoë Müller;;{skill};{day};2,5;24;3
+1;"Ana
Ruiz";R1;{label};{iso};2;l8;1
;Ana Ruiz;r2;{label};{day};2;20;2

-2;niamh o'brien;;{key};{day};;/;
@x;Sara Kohen;;{key};{day};2;22;{wrong}

Total;;;;;;84;6
"""


@pytest.fixture
def office():
    office = make_office()
    today = timezone.localdate()
    SchoolYear.objects.update(starts=today.replace(month=1, day=1), ends=today.replace(month=12, day=31))
    names = [("Zoë", "Müller"), ("Ana", "Ruiz", "R1"), ("Ana", "Ruiz", "R2"), ("Niamh", "O’Brien"), ("Sara", "Kohen")]
    for given, family, *reference in names:
        fields = {"school_ref": reference[0]} if reference else {}
        pupil = office.pupil(given, family, joined_on=today.replace(month=1, day=1), **fields)
        pupil.enrolments.update(starts=today.replace(month=1, day=1))
    office.by.user.memberships.update(starts=today.replace(month=1, day=1))
    return office


def sheet(folder: Path, *, mended: bool) -> Path:
    today = timezone.localdate()
    text = SHEET.format(
        skill="Subtract two-digit numbers, with regrouping",
        label="subtract two-digit numbers with regrouping",
        key=KEY,
        day=today.strftime("%d.%m.%Y"),
        iso=today.isoformat(),
        wrong=1 if mended else -1,
    )
    file = folder / "Friday, Heron.csv"
    file.write_bytes((text.replace("l8", "18") if mended else text).encode("cp1252"))
    return file


def choose(page, file, kind="scores"):
    page.get_by_label(kind, exact=True).check()
    page.get_by_label("File", exact=True).set_input_files(file)
    page.get_by_role("button", name="Look at the file").click()


@pytest.mark.parametrize("script", [True, False])
def test_real_spreadsheet_loads_after_two_readable_messages(open_page, sign_in, office, tmp_path, script):
    page = open_page(java_script_enabled=script)
    sign_in(page, office.by.user)
    page.goto("/data/load/")

    choose(page, sheet(tmp_path, mended=False))
    expect(page.get_by_role("heading", name="2 things to mend first")).to_be_visible()
    rows = page.get_by_role("region", name="What to mend").locator("tbody tr")
    expect(rows).to_have_text(["3Right“l8” is not a number.", "7MistakesDigits wrong is a whole number from 0 to 999."])
    assert Attempt.objects.count() == 0

    page.get_by_role("link", name="Choose the file again").click()
    choose(page, sheet(tmp_path, mended=True))
    facts = page.locator("dl.facts")
    expect(facts).to_contain_text("New scores5")
    expect(facts).to_contain_text("Total lines left out1")
    expect(facts).to_contain_text("Columns left aloneSeat")
    page.get_by_role("button", name="Load the file").click()

    expect(page.get_by_text("5 rows were loaded.")).to_be_visible()
    held = Attempt.objects.order_by("pupil__school_ref").values_list(
        "pupil__given_name", "correct", "seconds", "status"
    )
    assert sorted(held, key=str) == [
        ("Ana", 18, 120, "done"),
        ("Ana", 20, 120, "done"),
        ("Niamh", None, None, "absent"),
        ("Sara", 22, 120, "done"),
        ("Zoë", 24, 150, "done"),
    ]

    page.get_by_role("button", name="Undo Friday, Heron.csv").click()
    expect(page.get_by_text("The import was undone.")).to_be_visible()
    assert Attempt.objects.count() == 0


def test_axe_finds_nothing_in_any_way_of_looking(page, sign_in, office, axe, variants, tmp_path):
    today = timezone.localdate()
    office.load(table(ROSTER_HEAD, ["B2", "Ben", "Ode", "Kite", 3]), "roster", on=today)
    sign_in(page, office.by.user)
    page.goto("/data/load/")
    choose(page, sheet(tmp_path, mended=False))
    for path in ("/data/load/", "/data/load/preview/", "/data/export/"):
        for _ in variants(page, path):
            axe(page)
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.context.clear_cookies(name="django_language")
    page.goto("/data/load/")
    choose(page, sheet(tmp_path, mended=True))
    for _ in variants(page, "/data/load/preview/"):
        axe(page)


@pytest.fixture(autouse=True)
def ladder(db):
    make.make_ladder()
