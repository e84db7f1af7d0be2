from tracker.actions.reference import sync_reference
from tracker.measures import ladder
from tracker.models import Skill


def test_ladder_is_written_with_its_order_and_twins(db):
    sync_reference()

    rows = list(Skill.objects.select_related("twin").order_by("position"))
    assert [row.key for row in rows] == [step.key for step in ladder.steps()]
    assert [(row.twin.key if row.twin else None) for row in rows] == [step.twin for step in ladder.steps()]
    assert [row.default_seconds for row in rows] == [step.default_seconds for step in ladder.steps()]


def test_writing_it_again_changes_nothing(db):
    first = sync_reference()

    assert first >= len(ladder.steps())
    assert sync_reference() == 0


def test_row_that_was_changed_is_mended_and_keeps_its_id(db):
    sync_reference()
    before = Skill.objects.get(key="sub-2d-regroup")
    Skill.objects.filter(pk=before.pk).update(label="wrong", twin=None)

    assert sync_reference() == 2

    after = Skill.objects.get(key="sub-2d-regroup")
    assert (after.pk, after.label, after.twin_id) == (before.pk, before.label, before.twin_id)


def test_skill_that_the_ladder_lost_is_kept_but_no_longer_in_use(db):
    sync_reference()
    Skill.objects.create(key="old-skill", label="Old", position=99)

    assert sync_reference() == 1
    assert Skill.objects.get(key="old-skill").in_use is False
