"""The parts that pages are made of, rendered alone."""

import re
from pathlib import Path

import pytest
from django import forms
from django.contrib.staticfiles import finders
from django.core.paginator import Paginator
from django.template.loader import render_to_string
from django.test import RequestFactory

from tracker.models import Flag


class Entry(forms.Form):
    digits = forms.IntegerField(max_value=84, help_text="As counted with the key.", label="Digits correct")
    timed = forms.BooleanField(required=False)
    typing = forms.ChoiceField(choices=[("a", "digits correct"), ("b", "last item reached")], widget=forms.RadioSelect)


def part(name: str, /, **context: object) -> str:
    return render_to_string(f"parts/{name}.html", context)


def described_by(markup: str) -> list[str]:
    return [name for names in re.findall(r'aria-describedby="([^"]+)"', markup) for name in names.split()]


def ids(markup: str) -> list[str]:
    return re.findall(r'\sid="([^"]+)"', markup)


def test_field_ties_help_and_error_to_the_box():
    form = Entry({"digits": "96"})

    markup = part("_field", field=form["digits"])

    assert described_by(markup) == ["id_digits_helptext", "id_digits_error"]
    assert set(described_by(markup)) <= set(ids(markup))
    assert 'for="id_digits"' in markup
    assert 'aria-invalid="true"' in markup


def test_field_without_fault_has_no_error():
    markup = part("_field", field=Entry()["digits"])

    assert described_by(markup) == ["id_digits_helptext"]
    assert "field-error" not in markup


def test_field_group_has_a_legend_tied_to_its_error():
    markup = part("_field", field=Entry({"digits": "9"})["typing"])

    assert "<legend>Typing</legend>" in markup
    assert "id_typing_error" in described_by(markup)
    assert "id_typing_error" in ids(markup)


def test_field_escapes_its_error():
    form = Entry({"digits": "9", "typing": "<b>"})

    markup = part("_field", field=form["typing"])

    assert "&lt;b&gt;" in markup
    assert "<b>" not in markup


def test_tick_stands_before_its_label():
    markup = part("_field", field=Entry()["timed"])

    assert markup.index('type="checkbox"') < markup.index("<label")


@pytest.mark.parametrize(("answer", "open_"), [(None, True), ("", True), ("0", False), (0, False), ("45", False)])
def test_sum_leaves_room_only_without_an_answer(answer, open_):
    markup = part("_sum", top="64", sign="−", bottom="19", answer=answer)

    assert ("sum-open" in markup) is open_
    assert 'dir="ltr"' in markup


def test_sum_with_spoken_words_is_heard_once():
    markup = part("_sum", top="64", sign="−", bottom="19", answer="45", spoken="64 minus 19 is 45")

    assert '<span class="spoken" dir="auto">64 minus 19 is 45</span>' in markup
    assert '<span class="sum-rows" aria-hidden="true">' in markup


def test_flag_points_to_a_shape_that_exists():
    shapes = set(re.findall(r'<symbol id="([\w-]+)"', open_marks()))

    assert {kind for kind in Flag.Kind.values if kind not in shapes} == set()
    assert '#regrouping-gap"' in part("_flag", kind="regrouping-gap", label="regrouping gap")


def open_marks() -> str:
    path = finders.find("img/marks.svg")
    assert path
    return Path(path).read_text()


def test_pager_keeps_the_rest_of_the_address():
    request = RequestFactory().get("/roster/", {"grade": "3", "page": "2"})
    page = Paginator(list(range(50)), 20).page(2)

    markup = render_to_string("parts/_pager.html", {"page": page, "noun": "pupils"}, request=request)

    assert re.findall(r'href="([^"]+)"', markup) == ["?grade=3&amp;page=1"] * 2 + ["?grade=3&amp;page=3"] * 2
    assert "21 to 40 of 50 pupils" in markup


def test_pager_is_silent_on_one_page():
    page = Paginator([1, 2], 20).page(1)

    assert render_to_string("parts/_pager.html", {"page": page}, request=RequestFactory().get("/")).strip() == ""


def test_pupil_name_is_kept_apart_from_its_surroundings():
    assert part("_pupil_name", name="فرح <x>").strip() == '<bdi class="name">فرح &lt;x&gt;</bdi>'
