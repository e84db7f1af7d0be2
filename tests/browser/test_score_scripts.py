"""The scripts of the score grid read digits and names as the server does."""

import sys
import unicodedata

import pytest

from tests import builders as make
from tests.browser.score_grid import Grid
from tests.web.score_grids import make_scene
from tracker.queries.names import fold

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NAMES = [
    "Łukasz Ó’Brien-Sørensen",
    "Zoë d'Arcy",
    "Inês Kovač",
    "Đorđe Weiß",
    "مَرْيَم حدّاد",
    "Νίκος Παππάς",
    "İpek Işık",
    "张 伟",
]


@pytest.fixture
def grid(at_time, page, sign_in):
    at_time(make.NOW)
    scene = make_scene()
    sign_in(page, scene.teacher)
    return Grid(page, scene).open()


def test_digits_of_every_script_have_the_value_that_unicode_gives_them(grid):
    """Source: the Unicode Character Database (decimal digits), as Python ships it. The browser may know newer ones."""
    signs = [chr(code) for code in range(sys.maxunicode) if unicodedata.category(chr(code)) == "Nd"]
    # Mathematical digits are letters' shapes for formulas, five sets in a row; nobody writes scores with them.
    written = [sign for sign in signs if not 0x1D7CE <= ord(sign) <= 0x1D7FF]

    read = grid.page.evaluate(
        "signs => import('/static/js/scores/digits.js').then(({ readNumber }) => signs.map(readNumber))", written
    )

    assert len(written) > 600
    assert dict(zip(written, read, strict=True)) == {sign: unicodedata.decimal(sign) for sign in written}


@pytest.mark.parametrize(
    ("text", "number"),
    [("33", 33), (" 007 ", 7), ("", None), ("3a", "none"), ("-3", "none"), ("3.5", "none"), ("1234567890", "none")],
)
def test_what_is_no_whole_number_is_not_read(grid, text, number):
    read = grid.page.evaluate(
        "text => import('/static/js/scores/digits.js').then(({ readNumber }) => {"
        "const read = readNumber(text); return read === undefined ? 'none' : read; })",
        text,
    )

    assert read == number


def test_names_are_folded_as_on_the_server(grid):
    folded = grid.page.evaluate(
        "names => import('/static/js/scores/names.js').then(({ fold }) => names.map((name) => fold(name).trim()))",
        NAMES,
    )

    assert folded == [fold(name) for name in NAMES]
