from datetime import date, timedelta

import pytest

from tests import builders as make
from tests.actions.scene import KEY, make_scene
from tracker.models import Attempt, Break, Mark, MasteryEvent, Phase
from tracker.queries import whole
from tracker.queries.whole import Reached

PLAIN = "sub-2d-plain"


@pytest.fixture
def scene(db):
    return make_scene()


def ids(*keys):
    return [make.skill(key).pk for key in keys]


def test_histories_hold_what_is_no_longer_due_oldest_first(scene):
    pupil = scene.pupil(no_timed_checks=True)
    make.make_history(pupil, [(20, 1), (22, 0)])
    make.make_attempt(make.make_check(scene.group), pupil)
    (skill,) = ids(KEY)

    found = whole.histories(scene.school.pk, [pupil.pk], [skill])

    rows = found[pupil.pk, skill]
    assert [(row.correct, row.wrong, row.seconds, row.no_timed) for row in rows] == [
        (20, 1, 120, True),
        (22, 0, 120, True),
    ]
    assert list(found) == [(pupil.pk, skill)]


def test_histories_keep_to_school_pupils_and_skills(scene):
    other = make_scene(name="Mill Road School")
    pupil, beside, away = scene.pupil(), scene.pupil("Ilse"), other.pupil()
    for one in (pupil, beside, away):
        make.make_history(one, [(20, 1)])
        make.make_history(one, [(20, 1)], PLAIN)
    (skill,) = ids(KEY)

    found = whole.histories(scene.school.pk, [pupil.pk, away.pk], [skill])

    assert list(found) == [(pupil.pk, skill)]
    assert set(whole.pupils_histories(scene.school.pk, [pupil.pk])) == {(pupil.pk, one) for one in ids(KEY, PLAIN)}


def test_row_knows_its_phase(scene):
    pupil = scene.pupil()
    phase = Phase.objects.create(
        school=scene.school,
        pupil=pupil,
        skill=make.skill(KEY),
        began_on=date(2026, 10, 5),
        reason="teaching",
        recorded_at=make.NOW,
    )
    make.make_history(pupil, [(20, 1)])
    Attempt.objects.update(phase=phase)

    (row,) = whole.histories(scene.school.pk, [pupil.pk], ids(KEY))[pupil.pk, ids(KEY)[0]]

    assert (row.phase_id, row.phase_began, row.phase_reason) == (phase.pk, date(2026, 10, 5), "teaching")
    on = date(2026, 10, 5)
    assert whole.phases(scene.school.pk, [pupil.pk], on=on) == {(pupil.pk, ids(KEY)[0]): phase}
    assert whole.phases(scene.school.pk, [pupil.pk], on=on - timedelta(days=1)) == {}


def test_what_is_on_record_comes_by_pupil_and_skill(scene):
    pupil = scene.pupil()
    skill = make.skill(KEY)
    for kind, on in (("secure", date(2026, 10, 2)), ("kept", date(2026, 11, 6))):
        MasteryEvent.objects.create(
            school=scene.school,
            pupil=pupil,
            skill=skill,
            kind=kind,
            on=on,
            mark_accuracy=0.95,
            mark_source="s",
            measures_version="1",
            recorded_at=make.NOW,
        )
    for level, on in (("drawn", date(2026, 9, 9)), ("written", date(2026, 9, 20)), ("written", date(2026, 9, 14))):
        pupil.material_records.create(school=scene.school, skill=skill, level=level, on=on, recorded_at=make.NOW)

    found = whole.reached(scene.school.pk, [pupil.pk], [skill.pk])

    assert found == {(pupil.pk, skill.pk): Reached(date(2026, 10, 2), date(2026, 11, 6), date(2026, 9, 14))}


def test_marks_are_the_schools_and_the_pupils_own(scene):
    pupil, other = scene.pupil(), scene.pupil("Ilse")
    values = {"accuracy": 0.9, "rate": 20, "source": "s", "valid_from": make.YEAR_STARTS, "recorded_at": make.NOW}
    skill = make.skill(KEY)
    kept = [
        Mark.objects.create(school=scene.school, skill=skill, version=1, **values),
        Mark.objects.create(school=scene.school, skill=skill, version=2, pupil=pupil, why="Agreed", **values),
    ]
    Mark.objects.create(school=scene.school, skill=skill, version=3, pupil=other, why="Agreed", **values)
    Mark.objects.create(school=make_scene(name="Mill Road School").school, skill=skill, version=1, **values)

    assert whole.marks(scene.school.pk, [skill.pk], [pupil.pk]) == kept


def test_withdrawn_flags_are_as_if_never_raised(scene):
    pupil = scene.pupil()
    kept = make.make_flag(pupil, state="closed", ended_at=make.NOW, ended_why="Seen")
    make.make_flag(pupil, PLAIN, state="withdrawn", ended_at=make.NOW, ended_why="corrected")
    make.make_flag(pupil, kind="accuracy-low")

    assert whole.flags_of(scene.school.pk, [pupil.pk], ["regrouping-gap"]) == [kept]


def test_breaks_come_in_order(scene):
    for name, starts in (("Winter", date(2026, 12, 21)), ("Autumn", date(2026, 10, 19))):
        Break.objects.create(
            school=scene.school, year=scene.group.year, name=name, starts=starts, ends=starts + timedelta(days=4)
        )

    assert whole.breaks(scene.school.pk) == [
        (date(2026, 10, 19), date(2026, 10, 23)),
        (date(2026, 12, 21), date(2026, 12, 25)),
    ]
