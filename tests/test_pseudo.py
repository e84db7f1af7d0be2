"""The pseudo-language is longer, runs from right to left, and keeps what must be kept."""

from io import BytesIO

import pytest
from babel.messages.pofile import read_po
from django.utils import translation

from tests import pseudo

RLO, PDF = "\N{RIGHT-TO-LEFT OVERRIDE}", "\N{POP DIRECTIONAL FORMATTING}"


def test_words_are_longer_and_run_from_right_to_left():
    assert pseudo.pseudo("Close the check") == f"{RLO}Çlöšé~~~{PDF} {RLO}thé~~{PDF} {RLO}çhéçk~~~{PDF}"


@pytest.mark.parametrize(
    "kept", ["%(name)s", "%d", "%%", "{count}", "<b>", "</b>", "&nbsp;", "https://school.example/a"]
)
def test_what_is_filled_in_stays(kept):
    assert pseudo.pseudo(f"{kept} 12 {kept}") == f"{kept} 12 {kept}"


def test_plurals_and_contexts_are_translated():
    english = b'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8\\n"\n\n'
    english += b'msgctxt "of a sum"\nmsgid "%(n)d row"\nmsgid_plural "%(n)d rows"\nmsgstr[0] ""\nmsgstr[1] ""\n'
    message = pseudo.translated(read_po(BytesIO(english), locale="en")).get(("%(n)d row", "%(n)d rows"), "of a sum")

    assert message.string == (f"%(n)d {RLO}röw~~{PDF}", f"%(n)d {RLO}röwš~~{PDF}")


def test_pages_can_be_asked_for_in_it():
    with translation.override(pseudo.CODE):
        assert translation.get_language() == pseudo.CODE
        assert translation.get_language_bidi()
        assert translation.check_for_language(pseudo.CODE)
