import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures import ladder
from tracker.measures.problems import Problem
from tracker.measures.sheets import GENERATOR_VERSION, TimedSheet, timed_sheet

KEYS = [one.key for one in ladder.steps()]
MARKED = [one for one in ladder.steps() if one.default_mark_rate]

# Fingerprints of form 1, seed 0: a change here changes every printed form and needs a new generator version.
PINNED = {
    "add-facts-10": "55237a43216b9cb93cd5b4c3cc41034e9c9cff24abaa606276e9152e88194b8d",
    "sub-facts-10": "b3a936e96c03cb04ceea457530255fd7fd04d1a06cfa121505190b44edbdccce",
    "add-facts-20": "702450e1ed626aa27ad8f97776d04ba1fe9dcbbb8bcd6a7dab7831d24da6504b",
    "sub-facts-20": "9d34564529b7e37fabe524801d2a32176212d79ca6959d8c2172b3e49b27555c",
    "add-tens": "0450c73e96b3c36d3b3c7793b47903deed586de189bf272e569cb580b12409cb",
    "sub-tens": "9ae5a7c9a5dbba13a7372b883ea8dd30c5a6e16ab3f6a964ba9aa00c4573a427",
    "add-2d1d-plain": "439db196cbfab3e303d2073f324d445b2f5681c5091574f57b6051f6e0cb5615",
    "add-2d1d-regroup": "6ee42e12f15b798daccffbf5223de9fe45e5ec91662a9fd7ec6411082c22f177",
    "sub-2d1d-plain": "426e37ca8337015f266c225f1f12ca5269a2dac4482c2f2fa5319cd32115a089",
    "sub-2d1d-regroup": "09a9764903a6331c2bf16acced804657c9ad95e12eb9643dccc06c132caaf13e",
    "add-2d-plain": "756aace3d9155c9d6e91b9f7909824c22621b9b7cd1b1b04041fdb36ae0b4fe7",
    "add-2d-regroup": "4856e56191f09cada699d1e314fe8fc2d23bc24c8b9c6823108cbd79da29b819",
    "sub-2d-plain": "d0b0fd52e6262b55edbfe72c0cb927eb60ecabfa04a13df50b179dee3ee76581",
    "sub-2d-regroup": "82de155766db300e55bbc31e6e0ab1a53c8a17e83a1eac3641f5d8f57879f543",
    "mixed-2d": "32611674101083887be4cd0a80f5b56447ba55744b609c056e19f8f6f99c3703",
    "add-3d-plain": "d6700cb6791173d7c3c0c714c9fd758f657f7ce32569feeb7c3e7c28529d495b",
    "add-3d-regroup": "3421f5741ce9bce97c1cbec1048490e628d179227768d70606a533481b07b3b8",
    "sub-3d-plain": "41d5cc6383e84601e55031aa3f97d4a96e6b9fea9434dec9e7ddf7e8a229f43a",
    "sub-3d-regroup": "70796ff550065dcafb81345f97a21da8aca3b717729d840f91d878ef3a63d409",
    "sub-3d-zeros": "16ab306341352df7cd45dfc99bcc1cf9ce8296d55cf658857e58f711b6789ec6",
    "missing-20": "01114fe02408afe911129956de1705a7ad9c76757730ea863e6e92d439a8fa41",
    "missing-100": "ae70b4cfd7f42cd0c7dcfa40582e7edbc747f2f57d38b03b5649f130a9afde31",
    "times-2-5-10": "56437c62a0f2385174fd00a147aff9ff7dd778051ac073e675f4d42618c52b35",
    "times-all": "8825d83a1d46532d35ffd4ab2fd154a3dbd88b3bf647413b3155281f7d4df357",
    "divide-all": "5892c57ca52d682a33abdc4ee5e4a94c8695f4a7c9e68787b126a3d554a35f99",
    "times-2d1d": "c0bc4f64cd621654dcace72005545bf1643393b8484decfca073692439eae53b",
    "year-1": "e2cdeeb47187e9911a9422f148a3048ea77c5ea9885583247ac887d96118616b",
    "year-2": "59c3eb3f13534eced6a777106e2185e2effa479d2d2f7f8fea16262f4c1edcfa",
    "year-3": "305da03d8608e89358c321198dd99b1b9a7eaab275b32c80e4b6bc65ce47630c",
    "year-4": "e26dca19d887e402742f2de2a0891839333b7478beee11960fff9642ea9cc08b",
    "year-5": "c6de9b1692b5c984c967a2a603c43378c182bd454768ec951d436628dcfca734",
    "copying": "d9a10b72f596be076a3ca870c32333dc6127f7f9cfdcb9116f0ba50c71b775a6",
}


def test_generator_version_is_the_pinned_one():
    assert GENERATOR_VERSION == "plain-1"


@pytest.mark.parametrize(("key", "digest"), PINNED.items())
def test_sheet_is_frozen(key, digest):
    assert timed_sheet(key, 1).digest == digest


def test_first_items_are_frozen():
    items = [(item.top, item.bottom) for item in timed_sheet("sub-2d1d-regroup", 1).problems[:6]]

    assert items == [(56, 8), (36, 7), (72, 4), (84, 5), (25, 9), (41, 2)]


@given(st.sampled_from(KEYS), st.integers(1, 40), st.integers(0, 2**64))
def test_same_form_gives_the_same_sheet(key, form, seed):
    assert timed_sheet(key, form, seed=seed) == timed_sheet(key, form, seed=seed)


@pytest.mark.parametrize("key", KEYS)
def test_forms_and_seeds_differ(key):
    digests = {timed_sheet(key, form, seed=seed).digest for form in range(1, 6) for seed in (0, 1)}

    assert len(digests) == 10


@pytest.mark.parametrize("key", KEYS)
def test_forms_have_the_same_digits_and_regrouping_at_each_position(key):
    def load(form):
        items = timed_sheet(key, form).problems
        return [(item.operation, item.unknown, item.digits_possible, item.needs_regrouping) for item in items]

    if key.startswith(("times", "divide", "year")):  # a product needs carrying or not, as the numbers fall
        assert [one[:3] for one in load(1)] == [one[:3] for one in load(2)]
    else:
        assert load(1) == load(2)


@pytest.mark.parametrize("one", MARKED, ids=lambda one: one.key)
def test_nobody_runs_out_at_the_mark(one):
    sheet = timed_sheet(one.key, 1)
    needed = 1.3 * one.default_mark_rate * one.default_seconds / 60

    last_row = sum(item.digits_possible for item in sheet.problems[-sheet.items_per_row :])
    assert sheet.digits_possible >= needed
    assert sheet.digits_possible - last_row < needed
    assert sheet.minutes == one.default_seconds / 60


@pytest.mark.parametrize("key", KEYS)
def test_rows_are_full(key):
    sheet = timed_sheet(key, 3)

    assert len(sheet.problems) % sheet.items_per_row == 0


@pytest.mark.parametrize("key", KEYS)
def test_no_item_comes_back_within_five(key):
    for form in range(1, 6):
        items = timed_sheet(key, form).problems
        assert all(item not in items[max(0, at - 5) : at] for at, item in enumerate(items))


@given(st.sampled_from(KEYS), st.floats(5, 90), st.floats(30, 600))
def test_length_follows_the_schools_own_mark_and_time(key, mark, seconds):
    sheet = timed_sheet(key, 1, mark_rate=mark, seconds=seconds)

    assert sheet.digits_possible >= 1.3 * mark * seconds / 60
    assert sheet.minutes == seconds / 60


def test_longer_sheet_begins_with_the_shorter_one():
    short, long = timed_sheet("add-2d-plain", 2), timed_sheet("add-2d-plain", 2, mark_rate=60)

    assert long.problems[: len(short.problems)] == short.problems
    assert len(long.problems) > len(short.problems)


def test_running_digits_end_at_the_digits_possible():
    sheet = timed_sheet("add-facts-10", 1)

    assert sheet.running_digits[:7] == (1, 2, 3, 4, 5, 7, 8)
    assert sheet.running_digits[-1] == sheet.digits_possible == sum(len(str(item.answer)) for item in sheet.problems)
    assert all(earlier < later for earlier, later in pairwise(sheet.running_digits))


def test_mixed_sheet_keeps_its_plan():
    def what(item):
        return item.operation, item.needs_regrouping

    row = [("+", True), ("-", True), ("+", False), ("-", True), ("+", True), ("-", False)]
    sheet = timed_sheet("mixed-2d", 4)
    assert [what(item) for item in sheet.problems] == row * 9
    assert sheet.item_skills[:3] == ("add-2d-regroup", "sub-2d-regroup", "add-2d-plain")


@pytest.mark.parametrize("key", KEYS)
def test_every_item_names_its_skill(key):
    sheet = timed_sheet(key, 1)

    assert len(sheet.item_skills) == len(sheet.problems)
    for skill, item in zip(sheet.item_skills, sheet.problems, strict=True):
        assert item.operation in (ladder.step(skill).operations or ("copy",))


def test_missing_numbers_are_missing_on_either_side():
    for key in ("missing-20", "missing-100"):
        unknown = [(item.operation, item.unknown) for item in timed_sheet(key, 1).problems[:4]]
        assert sorted(unknown) == [("+", "bottom"), ("+", "top"), ("-", "bottom"), ("-", "top")]
    assert max(item.top for item in timed_sheet("missing-20", 1).problems) < 20
    assert max(max(item.top, item.result) for item in timed_sheet("missing-100", 1).problems) < 100


def test_copying_sheet_holds_numbers_to_copy():
    items = timed_sheet("copying", 1).problems

    assert {(item.operation, item.bottom, item.digits_possible) for item in items} == {("copy", 0, 3)}


def test_tables_stay_within_the_tables():
    small = [item for form in range(1, 6) for item in timed_sheet("times-2-5-10", form).problems]
    shared = [item for form in range(1, 6) for item in timed_sheet("divide-all", form).problems]

    assert all({item.top, item.bottom} & {2, 5, 10} and max(item.top, item.bottom) <= 10 for item in small)
    assert {item.answer for item in shared} == {item.bottom for item in shared} == set(range(2, 10))


def test_digest_follows_items_and_their_order():
    one, other = Problem("+", 3, 4), Problem("+", 3, 4, unknown="top")
    sheets = [
        TimedSheet("add-facts-10", 1, 0, 2.0, items, ("add-facts-10",) * 2, 10)
        for items in ((one, other), (other, one), (one, one))
    ]

    assert len({sheet.digest for sheet in sheets}) == 3
    assert TimedSheet("missing-20", 7, 1, 3.0, (one, other), ("missing-20",) * 2, 6).digest == sheets[0].digest


@pytest.mark.parametrize(
    ("arguments", "options", "message"),
    [
        (("sub-9d", 1), {}, "the ladder has no skill 'sub-9d'"),
        (("add-tens", 0), {}, "a form counts from 1 and a seed from 0, not form 0, seed 0"),
        (("add-tens", 1), {"seed": -1}, "a form counts from 1 and a seed from 0, not form 1, seed -1"),
        (("add-tens", 1), {"mark_rate": 0}, "mark and time must be above zero, not 0 digits a minute and 120 s"),
        (("add-tens", 1), {"seconds": -60}, "mark and time must be above zero, not 30 digits a minute and -60 s"),
    ],
)
def test_impossible_sheets_are_refused(arguments, options, message):
    with pytest.raises(ValueError) as refusal:  # noqa: PT011 the whole message is compared
        timed_sheet(*arguments, **options)

    assert str(refusal.value) == message


def test_sheets_are_short_enough_to_print():
    assert max(math.ceil(len(timed_sheet(key, 1).problems) / timed_sheet(key, 1).items_per_row) for key in KEYS) <= 20
