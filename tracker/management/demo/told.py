"""Says what there is to see in the invented school: sign-ins, and what this week's checks showed."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from tracker.access.viewer import Viewer
from tracker.management.demo.calendar import Calendar
from tracker.management.demo.fixtures import Person
from tracker.management.demo.set_up import SIGN_IN_WITH
from tracker.models import Check, ClassGroup, Flag, Pupil
from tracker.progress.check_summary import CheckSummary, check_summary
from tracker.progress.look_at import Became, LookAt
from tracker.progress.vocabulary import flag_label

WHAT_FOR = {
    "office": "sets up people, classes, years; loads files",
    "teacher": "teaches {class_name}",
    "cover": "may type the scores of {class_name}, today only",
    "assistant": "works with a group of {class_name}",
    "provider": "gives extra teaching",
    "coordinator": "sees all classes",
    "head": "reads everything",
    "parent": "sees {children}",
}
SHOWN = 6


def sign_ins(people: Iterable[Person], pupils: dict[str, Pupil]) -> Iterator[str]:
    rows = [(one.username, one.name, _what_for(one, pupils)) for one in people]
    widths = [max(len(row[column]) for row in rows) for column in range(2)]
    yield f"Everybody signs in with the words: {SIGN_IN_WITH}"
    for username, name, what in rows:
        yield f"  {username:<{widths[0]}}  {name:<{widths[1]}}  {what}"


def _what_for(person: Person, pupils: dict[str, Pupil]) -> str:
    children = " and ".join(str(pupils[reference]) for reference in person.pupils)
    return f"{person.role}, " + WHAT_FOR[person.role].format(class_name=person.class_name, children=children)


def last_week(viewer: Viewer, calendar: Calendar) -> Iterator[str]:
    """`viewer` reads the whole school."""
    for group, check in this_weeks_checks(viewer, calendar):
        summary = check_summary(viewer, check)
        yield f"{group.name}, {_day(check.on)}: {_counts(summary, is_open=check.state == Check.State.OPEN)}"
        yield from _named("became secure", summary.became, kind="secure")
        yield from _named("kept", summary.became, kind="kept")
        yield from _flags(summary.look_at)
        for need in summary.needs:
            yield f"  teach to the class: {need.skill} ({need.below} of {need.pupils})"
    kinds = Counter(Flag.objects.filter(school=viewer.school, state=Flag.State.OPEN).values_list("kind", flat=True))
    if kinds:
        counted = ", ".join(f"{count} {flag_label(kind)}" for kind, count in sorted(kinds.items()))
        yield f"Flags that nobody has looked at yet: {counted}"


def this_weeks_checks(viewer: Viewer, calendar: Calendar) -> list[tuple[ClassGroup, Check]]:
    first = calendar.week_began(calendar.weeks)
    rows = Check.objects.filter(school=viewer.school, class_group__isnull=False, on__gte=first)
    found = rows.select_related("class_group", "school").order_by("class_group__name", "on")
    return [(check.class_group, check) for check in found if check.class_group]


def _counts(summary: CheckSummary, *, is_open: bool) -> str:
    if is_open:
        return f"still open, {summary.done} rows done, {summary.absent} absent, {summary.left} left to enter"
    return f"{summary.done} rows done, {summary.absent} absent"


def _named(word: str, reached: Sequence[Became], *, kind: str) -> Iterator[str]:
    names = [f"{one.name} ({one.skill})" for one in reached if one.kind == kind]
    if names:
        more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
        yield f"  {word}: " + "; ".join(names[:SHOWN]) + more


def _flags(found: Sequence[LookAt]) -> Iterator[str]:
    for one in found:
        for reason in one.reasons:
            yield f"  look at: {one.name}, {reason.label} ({reason.skill})"


def _day(on: date) -> str:
    return f"{on:%A} {on.day} {on:%B}"


def pupils_of(viewer: Viewer) -> dict[str, Pupil]:
    return {pupil.school_ref: pupil for pupil in Pupil.objects.filter(school=viewer.school)}
