"""Writes the skill ladder of the measures into the Skill table."""

from django.db import transaction

from tracker.measures import ladder
from tracker.measures.ladder_steps import SkillStep
from tracker.models import Skill

FIELDS = ("label", "position", "regroups", "kind", "standards", "default_seconds", "in_use")


@transaction.atomic
def sync_reference() -> int:
    """Gives the number of rows that were new or changed. Rows are never deleted: attempts rest on them."""
    known = {skill.key: skill for skill in Skill.objects.select_for_update().order_by("id")}
    wanted = {step.key: _values(step) for step in ladder.steps()}
    changed = [key for key, values in wanted.items() if key not in known or _differs(known[key], values)]
    Skill.objects.bulk_create(
        [Skill(key=key, **wanted[key]) for key in changed],
        update_conflicts=True,
        unique_fields=["key"],
        update_fields=list(FIELDS),
    )
    retired = Skill.objects.filter(in_use=True).exclude(key__in=wanted).update(in_use=False)
    return len(changed) + retired + _tie_twins()


def _values(step: SkillStep) -> dict[str, object]:
    return {
        "label": ladder.fill(step.label),
        "position": step.order,
        "regroups": step.regroups,
        "kind": step.kind,
        "standards": list(step.standards),
        "default_seconds": step.default_seconds,
        "in_use": True,
    }


def _differs(skill: Skill, values: dict[str, object]) -> bool:
    return any(getattr(skill, name) != value for name, value in values.items())


def _tie_twins() -> int:
    rows = {skill.key: skill for skill in Skill.objects.all()}
    changed = []
    for step in ladder.steps():
        twin = rows[step.twin].pk if step.twin else None
        if rows[step.key].twin_id != twin:
            rows[step.key].twin_id = twin
            changed.append(rows[step.key])
    return Skill.objects.bulk_update(changed, ["twin"]) if changed else 0
