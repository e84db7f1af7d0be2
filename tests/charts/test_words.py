from tests.charts.charts_to_draw import busy, chart, kinds, point, untimed
from tracker.charts.words import facts, key, readout, rows, setting_facts


def test_facts_say_what_is_drawn():
    assert facts(busy()) == (
        "Checks shown: 15.",
        "First, week 1: 9.",
        "Last, week 17: 19.",
        "Highest, week 16: 21.",
        "Lowest, week 1: 9.",
        "Set aside and not counted here: 1.",
        "Untimed: 1.",
        "Rising until week 12, level since.",
    )
    assert setting_facts(busy()) == (
        "Mark now: 30.",
        "Teaching changed in week 12: with blocks.",
        "Teaching changed in week 18: small group, blocks.",
        "Teaching changed in week 22: on squared paper.",
        "Weeks 11 to 14: levelled off about here.",
        "Weeks 8 to 9: autumn break.",
    )


def test_facts_of_none_one_and_untimed_only():
    assert facts(chart()) == ("No checks to show yet.",)
    assert facts(kinds()["one"]) == ("Checks shown: 1.", "Week 3: 38.5.")
    assert facts(kinds()["untimed"]) == ("Checks shown: 2.", "Untimed: 2.")


def test_a_check_set_aside_is_neither_first_nor_highest():
    drawn = chart(point(1, 99.0, set_aside=True), point(2, 10.0), point(3, 12.0))

    assert facts(drawn)[1:3] == ("First, week 2: 10.", "Last, week 3: 12.")
    assert "99" not in " ".join(facts(drawn))


def test_a_chart_of_accuracy_speaks_in_per_cent():
    drawn = chart(point(1, 9.0, 1.0), untimed(2), measure="accuracy")

    assert facts(drawn)[1:3] == ("First, week 1: 90 %.", "Last, week 2: 80 %.")


def test_rows_hold_every_check_with_its_remark():
    drawn = chart(point(1, 9.0, 1.0), point(2, 8.0, set_aside=True), untimed(3), point(4, None, None))

    assert [(row.week, row.date, row.check, row.rate, row.wrong, row.remark) for row in rows(drawn)] == [
        ("1", "11 September", "Form 1", "9", "1", ""),
        ("2", "18 September", "Form 2", "8", "1", "set aside, not counted"),
        ("3", "25 September", "Form 3", "", "", "untimed, no rate"),
        ("4", "2 October", "Form 4", "", "", "no rate that day"),
    ]
    assert [row.url for row in rows(drawn)] == ["/checks/1/", "/checks/2/", "/checks/3/", "/checks/4/"]


def test_numbers_follow_the_readers_digits():
    drawn = kinds()["right to left"]

    assert (rows(drawn)[0].week, rows(drawn)[0].rate, rows(drawn)[0].accuracy) == ("١", "٩", "٧٥ %")
    assert facts(drawn)[1] == "First, week ١: ٩."


def test_the_readout_names_check_week_date_and_numbers():
    drawn = chart(point(2, 9.0, 1.0, set_aside=True))

    assert readout(drawn, drawn.points[0]) == (
        "Form 2, week 2, 18 September: 9 digits correct a minute, 1 wrong a minute, accuracy 90 %, "
        "set aside, not counted"
    )


def test_the_key_explains_only_what_is_drawn():
    assert [entry.shape for entry in key(chart(point(1, 9.0, 0.0)))] == ["dot"]
    assert [entry.shape for entry in key(busy())] == ["dot", "hollow", "square", "bar", "mark", "expected", "likely"]
    assert [entry.shape for entry in key(kinds()["untimed"])] == ["square"]
    assert [entry.text for entry in key(kinds()["accuracy"])] == ["accuracy", "set aside, not counted", "mark 95 %"]
