"""The ruled number: what the eye sees and what is read aloud."""

import re

import pytest
from django.template import Context, Template


def ruled(call: str, **context: object) -> str:
    return Template("{% load ruled %}{% stage " + call + " %}").render(Context(context))


def seen(markup: str) -> str:
    """What stands on the page: without the words that are only read aloud."""
    without_spoken = re.sub(r'<span class="spoken">.*?</span>', "", markup)
    return re.sub(r"<[^>]+>", "", without_spoken)


def heard(markup: str) -> str:
    without_hidden = re.sub(r'<i aria-hidden="true">.*?</i>', "", markup)
    return " ".join(re.sub(r"<[^>]+>", "", without_hidden).split())


@pytest.mark.parametrize(
    ("key", "number", "shown", "said"),
    [
        ("learning", "83 %", "83 % L", "83 % , learning"),
        ("quicker", "24", "24 Q", "24 , getting quicker"),
        ("secure", "36", "36 S", "36 , secure"),
        ("kept", "41", "41 K", "41 , kept"),
        ("few", "12", "(12)", "(12) , too few checks"),
        ("not-started", "", "–", "– , not started"),
        ("", "", "–", "– , not started"),
    ],
)
def test_stage_shows_number_and_letter_and_says_its_words(key, number, shown, said):
    markup = ruled("key number", key=key, number=number)

    assert seen(markup).strip() == shown
    assert heard(markup) == said


def test_stage_says_its_unit():
    markup = ruled('"secure" 36 unit="digits correct a minute"')

    assert heard(markup) == "36 digits correct a minute, secure"


def test_stage_escapes_what_it_shows():
    markup = ruled('"secure" number', number="<b>36</b>")

    assert "&lt;b&gt;36&lt;/b&gt;" in markup
    assert "<b>36</b>" not in markup


def test_stage_unknown_is_refused():
    with pytest.raises(KeyError):
        ruled('"mastered" 36')
