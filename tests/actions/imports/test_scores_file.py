"""Files of scores as teachers really keep them, fault by fault."""

from datetime import date, timedelta

import pytest

from tests import builders as make
from tests.actions.imports.files import KEY, ON, SCORES_HEAD, make_office, scores, table
from tracker.models import Attempt

BESIDE = " Keep one of the two."


@pytest.fixture
def office(db):
    return make_office()


@pytest.fixture
def anouk(office):
    return office.pupil(school_ref="A1")


def only_row(office, content, **fields):
    plan = office.preview(content, **fields)
    assert [str(fault) for fault in plan.faults] == []
    (one,) = plan.make
    return one


def fault(office, cells, head=SCORES_HEAD):
    (sentence,) = office.faults(table(head, cells))
    return sentence


# What is read


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_file_of_any_encoding_and_separator(office, encoding, separator):
    office.pupil("Zoë", "Müller")
    content = f"NAME,Skill,date,Right,Errors\nZoë Müller,{KEY},2026-11-20,24,3\n".replace(",", separator)

    one = only_row(office, content.encode(encoding))

    assert (str(one.row.pupil), one.entry.correct, one.entry.wrong) == ("Zoë Müller", 24, 3)


def test_heads_in_any_order_and_wording_with_minutes_and_a_line_break(office, anouk):
    content = 'Mistakes;Day;Minutes;"Digits\ncorrect";TOPIC;Pupil-ID\n1;20.11.2026;"2,5";24;' + KEY + ";a1\n"

    one = only_row(office, content)

    assert (one.row.pupil, one.row.on) == (anouk, date(2026, 11, 20))
    assert (one.entry.correct, one.entry.wrong, one.entry.seconds) == (24, 1, 150)


def test_skill_by_key_by_our_label_and_by_the_schools_own_words(db):
    office = make_office(words={"regrouping": "trading"})
    office.pupil(school_ref="A1")
    labels = [
        KEY,
        KEY.upper(),
        "Subtract two-digit numbers, with regrouping",
        "subtract two-digit numbers with trading",
    ]

    found = [only_row(office, scores(["A1", label, ON, 24, 3, 120])).row.skill.key for label in labels]

    assert found == [KEY] * 4


@pytest.mark.parametrize(("order", "text"), [("DMY", "19/11/2026"), ("MDY", "11/19/2026"), ("YMD", "2026/11/19")])
def test_dates_in_the_schools_own_order(db, order, text):
    office = make_office(date_order=order)
    office.pupil(school_ref="A1")

    assert only_row(office, scores(["A1", KEY, text, 24, 3, 120])).row.on == date(2026, 11, 19)


@pytest.mark.parametrize(
    ("given", "family", "written"),
    [
        ("Zoë", "Müller", "Zoe\u0308 Mu\u0308ller"),
        ("Zoë", "Müller", "müller, zoe"),
        ("Niamh", "O’Brien", "Niamh O'Brien"),
        ("Niamh", "O'Brien", "NIAMH O’BRIEN"),
        ("שרה", "כהן", "\u200fשרה כהן\u200e"),
        ("مريم", "القاضي", "\u202bالقاضي مريم\u202c"),
        ("Đặng", "Hòa", "Dang  Hoa"),
        ("=1+1", "@home", "=1+1 @home"),
        ("-Ana", "+Ruiz", "'-Ana +Ruiz"),
    ],
)
def test_names_as_people_write_them(office, given, family, written):
    pupil = office.pupil(given, family)

    assert only_row(office, table("name,skill,date,correct,wrong", [written, KEY, ON, 24, 3])).row.pupil == pupil


def test_namesakes_are_told_apart_by_reference(office):
    one, two = office.pupil("Ana", "Ruiz", school_ref="R1"), office.pupil("Ana", "Ruiz", school_ref="R2")

    plan = office.preview(scores(["r2", KEY, ON, 24, 3, 120], ["R1", KEY, ON, 20, 3, 120]))

    assert [scored.row.pupil for scored in plan.make] == [two, one]


def test_namesakes_in_two_classes_are_told_apart_by_class(office):
    office.pupil("Ana", "Ruiz")
    other = make.make_pupil(make.make_class(office.school, "Otter"), "Ana", "Ruiz")

    content = table("name,class,skill,date,correct,wrong", ["Ana Ruiz", "OTTER", KEY, ON, 24, 3])

    assert only_row(office, content).row.pupil == other


def test_blank_lines_and_totals_are_left_out(office, anouk):
    content = f"{SCORES_HEAD}\n\n,,,,,\nA1,{KEY},{ON},24,3,120\n\nTotal,,,24,3,\nClass average:,,,24.0,3.0,\n"

    plan = office.preview(content)

    assert (len(plan.make), plan.totals_left_out, plan.faults) == (1, 2, ())


def test_digits_of_another_script(office, anouk):
    one = only_row(office, scores(["A1", KEY, "٢٠/١١/٢٠٢٦", "٢٤", "٣", "١٢٠"]))

    assert (one.row.on, one.entry.correct, one.entry.wrong, one.entry.seconds) == (ON, 24, 3, 120)


@pytest.mark.parametrize(
    ("correct", "wrong", "status"),
    [("/", "", ""), ("absent", "", ""), ("", "", "Absent"), ("0", "0", "abs"), ("a", "a", "")],
)
def test_absent_in_every_usual_way(office, anouk, correct, wrong, status):
    content = table("ref,skill,date,correct,wrong,status", ["A1", KEY, ON, correct, wrong, status])

    entry = only_row(office, content).entry

    assert (entry.status, entry.correct, entry.wrong, entry.seconds) == ("absent", None, None, None)


@pytest.mark.parametrize(("correct", "wrong", "kept"), [("*", "", (None, None)), ("12", "2", (12, 2))])
def test_stopped_with_and_without_counts(office, anouk, correct, wrong, kept):
    status = "" if correct == "*" else "stopped"
    content = table("ref,skill,date,correct,wrong,status", ["A1", KEY, ON, correct, wrong, status])

    entry = only_row(office, content).entry

    assert (entry.status, (entry.correct, entry.wrong)) == ("stopped", kept)


def test_setting_and_mode_in_words(office, anouk):
    content = table("ref,skill,date,correct,wrong,where,mode", ["A1", KEY, ON, 24, 3, "At home", "oral"])

    entry = only_row(office, content).entry

    assert (entry.setting, entry.mode) == ("home", "oral")


def test_sheet_gives_its_time(office, anouk):
    make.make_sheet(office.school, code="K7", seconds=180)
    content = table("ref,skill,date,correct,wrong,sheet", ["A1", KEY, ON, 24, 3, "k7"])

    assert only_row(office, content).entry.seconds == 180


def test_rows_without_a_time_are_counted_in_a_warning(office, anouk):
    plan = office.preview(scores(["A1", KEY, ON, 24, 3, ""]))

    assert plan.warnings == ("1 row has no time: it counts for accuracy, not for the rate.",)


def test_name_beside_another_childs_reference_is_pointed_out(office, anouk):
    content = table("ref,name,skill,date,correct,wrong,seconds", ["A1", "Ben Ode", KEY, ON, 24, 3, 120])

    plan = office.preview(content)

    assert plan.warnings == ("In row 2 the name is not the one on record for this reference. The reference decides.",)


# What is refused, with row, column and a sentence


@pytest.mark.parametrize(
    ("cells", "sentence"),
    [
        (["B9", KEY, ON, 24, 3, 120], "column “reference”: No pupil of this school has the reference “B9”."),
        (["", KEY, ON, 24, 3, 120], "column “reference”: This row does not say which pupil it is for."),
        (
            ["A1", "long division", ON, 24, 3, 120],
            "column “skill”: This school has no skill “long division”. Use a name or key of the ladder, such as "
            "“add-facts-10”.",
        ),
        (["A1", "", ON, 24, 3, 120], "column “skill”: Every row needs a skill."),
        (["A1", KEY, "", 24, 3, 120], "column “date”: Every row needs a date."),
        (
            ["A1", KEY, "2026-11-21", 24, 3, 120],
            "column “date”: 2026-11-21 has not come yet. A score has a day up to today.",
        ),
        (
            ["A1", KEY, "2025-11-20", 24, 3, 120],
            "column “date”: 2025-11-20 lies outside every school year of this school.",
        ),
        (
            ["A1", KEY, ON, -3, 3, 120],
            "column “digits correct”: Digits correct is a whole number from 0 to 999.",
        ),
        (["A1", KEY, ON, 24, 4000, 120], "column “digits wrong”: Digits wrong is a whole number from 0 to 999."),
        (["A1", KEY, ON, "l8", 3, 120], "column “digits correct”: “l8” is not a number."),
        (["A1", KEY, ON, "24,5", 3, 120], "column “digits correct”: “24,5” is not a whole number."),
        (["A1", KEY, ON, "=A1+1", 3, 120], "column “digits correct”: “=A1+1” is not a number."),
        (
            ["A1", KEY, ON, "", "", 120],
            "column “digits correct”: There is no score here. Write the digits, or absent as the status.",
        ),
        (["A1", KEY, ON, 24, "", 120], "column “digits wrong”: Type how many digits were wrong, 0 if none."),
        (
            ["A1", KEY, ON, 24, 3, 0],
            "column “seconds”: The time is a whole number of seconds from 1 to 3600, or empty.",
        ),
        (["A1", KEY, ON, 24, 3, "two"], "column “seconds”: “two” is not a number."),
    ],
)
def test_fault_is_told_by_row_and_column(office, anouk, cells, sentence):
    assert fault(office, cells) == f"Row 2, {sentence}"


def test_zero_minutes_are_told_at_the_minutes(office, anouk):
    assert fault(office, ["A1", KEY, ON, 24, 3, 0], "ref,skill,date,correct,wrong,minutes") == (
        "Row 2, column “minutes”: The time is a whole number of seconds from 1 to 3600, or empty."
    )


def test_skill_that_the_school_does_not_use(db):
    office = make_office(skills_off=[KEY])
    office.pupil(school_ref="A1")

    assert fault(office, ["A1", KEY, ON, 24, 3, 120]) == "Row 2, column “skill”: This school does not use this skill."


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("ZZ", "This school has no sheet with the code “ZZ”."),
        ("K7", "Sheet K7 is for another skill."),
    ],
)
def test_sheet_unknown_or_of_another_skill(office, anouk, code, sentence):
    make.make_sheet(office.school, "add-tens", code="K7")

    found = fault(office, ["A1", KEY, ON, 24, 3, code], "ref,skill,date,correct,wrong,sheet")

    assert found == f"Row 2, column “sheet”: {sentence}"


@pytest.mark.parametrize(
    ("correct", "wrong", "column", "sentence"),
    [
        (85, 0, "correct", "This sheet holds 84 digits; digits correct can be 0 to 84."),
        (80, 9, "wrong", "This sheet holds 84 digits; with 80 correct, digits wrong can be 0 to 4. If the pupil wrote "
         "more digits than that, confirm the entry."),
    ],
)  # fmt: skip
def test_more_digits_than_the_sheet_holds(office, anouk, correct, wrong, column, sentence):
    make.make_sheet(office.school, code="K7", digits_possible=84)

    found = fault(office, ["A1", KEY, ON, correct, wrong, "K7"], "ref,skill,date,correct,wrong,sheet")

    assert found == f"Row 2, column “{column}”: {sentence}"


def test_more_digits_than_the_sheet_holds_can_be_confirmed(office, anouk):
    make.make_sheet(office.school, code="K7", digits_possible=84)
    content = table("ref,skill,date,correct,wrong,sheet,confirmed", ["A1", KEY, ON, 80, 9, "K7", "yes"])

    assert only_row(office, content).entry.confirmed is True


def test_date_before_the_pupil_was_enrolled(office):
    late = make.make_pupil(office.group, school_ref="L1", joined_on=date(2026, 10, 5))
    late.enrolments.update(starts=date(2026, 10, 5))

    assert fault(office, ["L1", KEY, "2026-09-18", 24, 3, 120]) == (
        "Row 2, column “date”: The pupil was in no class of this school on that day."
    )


def test_namesakes_without_reference(office):
    office.pupil("Ana", "Ruiz")
    office.pupil("Ana", "Ruíz")

    assert fault(office, ["Ana Ruiz", KEY, ON, 24, 3], "name,skill,date,correct,wrong") == (
        "Row 2, column “name”: 2 pupils are called “Ana Ruiz”. Add a column with the school reference."
    )


def test_unknown_name(office, anouk):
    assert fault(office, ["Anuk Verhagen", KEY, ON, 24, 3], "name,skill,date,correct,wrong") == (
        "Row 2, column “name”: No pupil of this school is called “Anuk Verhagen”."
    )


def test_pupil_of_another_school_is_not_found(office, anouk):
    stranger = make.make_pupil(make.make_class(make.make_school("Other School")), school_ref="B1")

    assert fault(office, [stranger.school_ref, KEY, ON, 24, 3, 120]) == (
        "Row 2, column “reference”: No pupil of this school has the reference “B1”."
    )


def test_two_rows_for_one_pupil_skill_and_day(office, anouk):
    content = scores(
        ["A1", KEY, ON, 24, 3, 120], ["A1", "add-tens", ON, 20, 0, 60], ["a1", KEY, "20/11/2026", 9, 3, 120]
    )

    assert office.faults(content) == ["Row 4: Row 2 is for the same pupil, skill and day." + BESIDE]


def test_the_same_row_twice_is_refused_although_the_values_agree(office, anouk):
    row = ["A1", KEY, ON, 24, 3, 120]
    office.load(scores(row))

    assert office.faults(scores(row, row)) == ["Row 3: Row 2 is for the same pupil, skill and day." + BESIDE]


@pytest.mark.parametrize(
    ("column", "value", "sentence"),
    [
        ("status", "ill", "“ill” is not known here. Use one of: done, absent, stopped, present, p, ok, a, ab, abs, "
         "away, stop."),
        ("where", "park", "“park” is not known here. Use one of: class, in class, small group, in a small group, home, "
         "at home, remote, online."),
    ],
)  # fmt: skip
def test_words_outside_the_list(office, anouk, column, value, sentence):
    found = fault(office, ["A1", KEY, ON, 24, 3, value], f"ref,skill,date,correct,wrong,{column}")

    assert found == f"Row 2, column “{column}”: {sentence}"


def test_absent_with_a_score_is_refused(office, anouk):
    assert fault(office, ["A1", KEY, ON, 24, 3, "absent"], "ref,skill,date,correct,wrong,status") == (
        "Row 2, column “correct”: A row marked “absent” has no digits; empty the boxes or choose “done” or “stopped”."
    )


def test_time_for_a_pupil_without_timed_checks(office):
    office.pupil(school_ref="U1", no_timed_checks=True)

    assert fault(office, ["U1", KEY, ON, 24, 3, 120]) == (
        "Row 2, column “seconds”: This pupil sits no timed checks; leave the time empty."
    )


def test_unquoted_decimal_comma_does_not_shift_the_counts(office, anouk):
    assert office.faults(f"{SCORES_HEAD}\nA1,{KEY},{ON},24,0,3,120\n") == [
        "Row 2: This row has more cells than there are heads. A cell that holds a comma or semicolon, such as 24,5, "
        "needs quotation marks around it."
    ]


def test_other_values_in_the_record_are_never_written_over(office, anouk):
    office.load(scores(["A1", KEY, ON, 24, 3, 120]))

    assert office.faults(scores(["A1", KEY, ON, 25, 3, 90])) == [
        "Row 2: The record says otherwise for this pupil, skill and day: digits correct 24, seconds 120. Correct it on "
        "the page of that check, or leave this row out."
    ]


def test_score_caught_up_later_is_found_by_the_day_of_its_check(office, anouk):
    check = make.make_check(office.group, on=ON - timedelta(days=7))
    make.make_attempt(check, anouk, correct=24, wrong=3, taken_on=ON - timedelta(days=3))

    plan = office.preview(scores(["A1", KEY, ON - timedelta(days=7), 24, 3, 120]))

    assert (plan.same, plan.make, plan.faults) == (1, (), ())


def test_two_attempts_of_one_day_are_each_found(office, anouk):
    """One caught up on the day of the next check."""
    before, today = make.make_check(office.group, on=ON - timedelta(days=7)), make.make_check(office.group)
    make.make_attempt(before, anouk, correct=20, wrong=3, taken_on=ON)
    make.make_attempt(today, anouk, correct=24, wrong=3)

    plan = office.preview(scores(["A1", KEY, ON, 24, 3, 120], ["A1", KEY, ON, 20, 3, 120]))

    assert (plan.same, plan.make, plan.faults) == (2, (), ())


def test_all_faults_of_a_file_come_at_once_in_row_order(office, anouk):
    content = scores(["A1", KEY, "soon", "x", 3, 120], ["B9", KEY, ON, 24, -3, 120], ["A1", KEY, ON, 24, 3, 120])

    plan = office.preview(content)

    assert [(fault.row, fault.column) for fault in plan.faults] == [
        (2, "date"), (2, "digits correct"), (3, "reference")
    ]  # fmt: skip
    assert Attempt.objects.count() == 0
