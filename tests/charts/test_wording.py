import re
from dataclasses import fields

from hypothesis import given
from hypothesis import strategies as st

from tracker.charts.wording import Words


def test_every_word_goes_through_the_translation():
    words = Words.translated(lambda message: f"«{message}»", digits="٠١٢٣٤٥٦٧٨٩")

    for item in fields(words):
        if item.name not in ("digits", "decimal"):
            assert getattr(words, item.name) == f"«{item.default}»"
    assert (words.digits, words.decimal) == ("٠١٢٣٤٥٦٧٨٩", ".")


def test_placeholders_are_named():
    for item in fields(Words):
        assert re.findall(r"%[^(%]|\{", str(item.default).replace("%%", "")) == []


@given(st.floats(0, 5000))
def test_a_number_is_written_as_it_rounds(value):
    written = Words(decimal=",").number(value)

    assert float(written.replace(",", ".")) == round(value, 1)
    assert not written.endswith((",0", ","))


def test_whole_tens_keep_their_zeros():
    assert [Words().number(value) for value in (0, 10, 200, 20.04, -0.01)] == ["0", "10", "200", "20", "0"]
