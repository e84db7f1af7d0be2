"""The chart in words: facts for the text alternative, a readout per check, rows for the table beneath."""

from dataclasses import dataclass

from tracker.charts.description import Point, SkillChart


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table, every cell ready to read."""

    week: str
    date: str
    check: str
    rate: str
    wrong: str
    accuracy: str
    remark: str
    url: str | None


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One line of the key: a shape's name and what it stands for."""

    shape: str
    text: str


def facts(chart: SkillChart) -> tuple[str, ...]:
    """Short sentences on how the checks went: counts, first, last, highest, lowest, trend.

    >>> from tracker.charts.wording import Words
    >>> facts(SkillChart("Facts", 1, 4, Words(), points=(Point(2, "2026-09-14", "A", rate=9.0),)))
    ('Checks shown: 1.', 'Week 2: 9.')
    """
    words = chart.words
    trend = (chart.trend,) if chart.trend else ()
    if not chart.points:
        return (words.nothing, *trend)
    counts = [(words.fact_set_aside, sum(point.set_aside for point in chart.points))]
    if chart.measure == "rate":
        counts.append((words.fact_untimed, sum(point.kind == "untimed" for point in chart.points)))
    counted = (template % {"count": words.number(count)} for template, count in counts if count)
    return (words.fact_checks % {"count": words.number(len(chart.points))}, *_course(chart), *counted, *trend)


def setting_facts(chart: SkillChart) -> tuple[str, ...]:
    """Short sentences on what else is drawn: mark, changes of teaching, bands, breaks.

    >>> from tracker.charts.description import Change
    >>> from tracker.charts.wording import Words
    >>> setting_facts(SkillChart("Facts", 1, 4, Words(), changes=(Change(3, "drawings first"),)))
    ('Teaching changed in week 3: drawings first.',)
    """
    words = chart.words
    mark = [words.fact_mark % {"value": shown(chart, chart.mark[-1].value * chart.scale)}] if chart.mark else []
    changes = [words.fact_change % {"week": words.number(item.week), "label": item.label} for item in chart.changes]
    spans = [
        words.fact_span % {"first": words.number(span.first), "last": words.number(span.last), "label": span.label}
        for span in (*chart.bands, *chart.breaks)
    ]
    return (*mark, *changes, *spans)


def rows(chart: SkillChart) -> tuple[Row, ...]:
    """The table: one row a check, oldest first.

    >>> from tracker.charts.wording import Words
    >>> point = Point(2, "2026-09-14", "A", rate=9.0, wrong=1.5, accuracy=0.857)
    >>> [(row.rate, row.wrong, row.accuracy) for row in rows(SkillChart("Facts", 1, 4, Words(), points=(point,)))]
    [('9', '1.5', '85.7 %')]
    """
    return tuple(_row(chart, point) for point in chart.points)


def readout(chart: SkillChart, point: Point) -> str:
    """One check in a sentence, read out on the keys.

    >>> from tracker.charts.wording import Words
    >>> point = Point(2, "2026-09-14", "Form A", rate=9.0, wrong=1.0, date_text="14 September")
    >>> readout(SkillChart("Facts", 1, 4, Words(), points=(point,)), point)
    'Form A, week 2, 14 September: 9 digits correct a minute, 1 wrong a minute'
    """
    head, *rest = readout_lines(chart, point)
    return f"{head}: {', '.join(rest)}" if rest else head


def readout_lines(chart: SkillChart, point: Point) -> tuple[str, ...]:
    """One check in short lines, shown on hover: which it is, then what it showed.

    >>> from tracker.charts.wording import Words
    >>> point = Point(2, "2026-09-14", "Form A", accuracy=0.9, kind="untimed", date_text="14 September")
    >>> readout_lines(SkillChart("Facts", 1, 4, Words(), points=(point,)), point)
    ('Form A, week 2, 14 September', 'accuracy 90 %', 'untimed, no rate')
    """
    words = chart.words
    lines = [words.readout_head % {"check": point.label, "week": words.number(point.week), "date": _on(point)}]
    if point.rate is not None:
        lines.append(words.readout_rate % {"rate": words.number(point.rate)})
    if point.wrong is not None:
        lines.append(words.readout_wrong % {"wrong": words.number(point.wrong)})
    if point.accuracy is not None:
        lines.append(words.readout_accuracy % {"accuracy": words.share(point.accuracy)})
    return (*lines, *_remarks(chart, point))


def key(chart: SkillChart) -> tuple[KeyEntry, ...]:
    """What each shape stands for; only the shapes that this chart draws.

    >>> from tracker.charts.wording import Words
    >>> [entry.shape for entry in key(SkillChart("Facts", 1, 4, Words(), mark=()))]
    ['dot']
    """
    words = chart.words
    rated = chart.measure == "rate"
    heights = [(point, chart.height_of(point) is not None) for point in chart.points]
    shown = (
        ("dot", words.rate if rated else words.accuracy, not heights or any(high for _, high in heights)),
        ("hollow", words.set_aside, any(point.set_aside and high for point, high in heights)),
        ("square", words.no_rate, rated and not all(high for _, high in heights)),
        ("bar", words.wrong, rated and any(point.wrong for point in chart.points)),
        ("mark", mark_text(chart), bool(chart.mark)),
        ("expected", chart.expected.label if chart.expected else "", chart.expected is not None),
        ("likely", words.likely, len(chart.likely) > 1),
    )
    return tuple(KeyEntry(shape, text) for shape, text, drawn in shown if drawn)


def mark_text(chart: SkillChart) -> str:
    """The mark that holds at the end of the chart, in words; empty without one."""
    return chart.words.mark % {"value": shown(chart, chart.mark[-1].value * chart.scale)} if chart.mark else ""


def shown(chart: SkillChart, value: float) -> str:
    """A value of the chart as it is written, with its per cent sign where it has one."""
    return chart.words.number(value) if chart.measure == "rate" else chart.words.share(value / 100)


def _course(chart: SkillChart) -> tuple[str, ...]:
    words = chart.words
    counted = [point for point in chart.points if not point.set_aside]
    known = [(point.week, height) for point in counted if (height := chart.height_of(point)) is not None]
    if not known:
        return ()
    picks = [(words.fact_only, known[0])]
    if len(known) > 1:
        highest, lowest = max(known, key=lambda item: item[1]), min(known, key=lambda item: item[1])
        picks = [(words.fact_first, known[0]), (words.fact_last, known[-1])]
        picks += [(words.fact_highest, highest), (words.fact_lowest, lowest)]
    return tuple(text % {"week": words.number(week), "value": shown(chart, value)} for text, (week, value) in picks)


def _row(chart: SkillChart, point: Point) -> Row:
    words = chart.words
    return Row(
        week=words.number(point.week),
        date=_on(point),
        check=point.label,
        rate=_rate(chart, point),
        wrong="" if point.wrong is None else words.number(point.wrong),
        accuracy="" if point.accuracy is None else words.share(point.accuracy),
        remark=", ".join(_remarks(chart, point)),
        url=point.url,
    )


def _remarks(chart: SkillChart, point: Point) -> tuple[str, ...]:
    """What the table and the readout say of a check that is not simply counted."""
    words = chart.words
    set_aside = (words.set_aside,) if point.set_aside else ()
    no_rate = {"untimed": words.untimed, "timed": words.no_rate}[point.kind]
    return (*set_aside, *((no_rate,) if point.rate is None else ()))


def _on(point: Point) -> str:
    return point.date_text or point.date


def _rate(chart: SkillChart, point: Point) -> str:
    return "" if point.rate is None else chart.words.number(point.rate)
