import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.actions.errors import Refused
from tracker.web.forms.scores import read_number, read_sent


@given(st.integers(min_value=0, max_value=999_999_999), st.sampled_from("0٠۰०০๐０"))
def test_whole_number_in_any_script_is_read(number, zero):
    written = "".join(chr(ord(zero) + int(digit)) for digit in str(number))

    assert read_number(f" {written} ", "correct") == number


@given(st.text(min_size=1).filter(lambda text: text.strip() and not text.strip().isdecimal()))
def test_anything_else_is_refused_beside_its_field(text):
    with pytest.raises(Refused) as refused:
        read_number(text, "wrong")

    assert refused.value.field == "wrong"


@given(st.text(alphabet=" \t\n"))
def test_empty_box_is_no_number(text):
    assert read_number(text, "correct") is None


@given(st.binary())
def test_no_body_breaks_the_reader(body):
    assert read_sent(body) is None
