"""Takes a pupil out for good, and again after an older copy of the database was put back."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from tracker.access.viewer import Viewer
from tracker.actions.reach import demand, hold_school, reach
from tracker.actions.record import Change, note_change
from tracker.models import (
    AccessRecord,
    ChangeRecord,
    ErasureEntry,
    Guardian,
    ImportBatch,
    Membership,
    Pupil,
    Role,
    School,
    User,
)
from tracker.models.identifiers import new_public_id


@dataclass(frozen=True)
class Erased:
    """A line of the list that outlives every copy of the database; it holds no name."""

    school: int
    pupil: str
    on: date


@transaction.atomic
def erase_pupil(*, pupil_id: str, by: Viewer, on: date) -> None:
    demand(by, "manage-roster")
    pupil = reach(hold_school(by).pupils.all(), pupil_id)
    entry = Erased(school=by.school.pk, pupil=pupil.public_id, on=on)
    _erase(pupil, entry)
    note_change(Change("erase-pupil", "pupil", ""), by=by, on=on)
    transaction.on_commit(partial(_write_down, entry))


def replay_erasures(*, lists: Iterable[Path] = ()) -> int:
    """Erases everybody who was erased before and is there again, and gives their number: after the database's own
    list, the one beside the database, and further lists or manifests of newer copies.

    Each pupil is a transaction of its own, so that a long list that is interrupted need not start anew."""
    own = (Erased(row.school_id_then, row.pupil_public_id, row.on) for row in ErasureEntry.objects.all())
    beside = [list_file()] if list_file().exists() else []
    read = (entry for path in (*beside, *lists) for entry in _read_list(path))
    wanted = {entry.pupil: entry for entry in (*own, *read)}
    return sum(_replay(entry) for entry in wanted.values())


@transaction.atomic
def _replay(entry: Erased) -> bool:
    school = School.objects.select_for_update(no_key=True).filter(pk=entry.school).first()
    pupil = Pupil.objects.filter(school=school, public_id=entry.pupil).first()
    if school is None or pupil is None:
        return False
    _erase(pupil, entry)
    note_change(Change("erase-pupil-again", "pupil", ""), by=None, on=entry.on, school=school)
    return True


def _erase(pupil: Pupil, entry: Erased) -> None:
    families = list(Guardian.objects.filter(pupil=pupil).values_list("user", flat=True))
    _cover_tracks(pupil)
    ErasureEntry.objects.get_or_create(
        pupil_public_id=entry.pupil,
        defaults={"school_id_then": entry.school, "on": entry.on, "recorded_at": timezone.now()},
    )
    pupil.delete()
    _erase_families(families)


def _cover_tracks(pupil: Pupil) -> None:
    """The record still shows that something was changed or read, but no longer about whom; free words go."""
    stranger = new_public_id()
    rows = ChangeRecord.objects.filter(pupil_key=pupil.public_id)
    rows.filter(subject="pupil").update(subject_key=stranger, before=None, after=None)
    rows.update(pupil_key=stranger, why="")
    AccessRecord.objects.filter(pupil_key=pupil.public_id).update(pupil_key=stranger)
    for batch in ImportBatch.objects.filter(school=pupil.school_id):
        trail = _without(batch.trail, pupil.public_id)
        if trail != batch.trail:
            batch.trail = trail
            batch.save(update_fields=["trail"])


def _without(value: Any, key: str) -> Any:
    """Leaves out, at any depth, what stands under the key, names it or holds it as its id."""
    if isinstance(value, dict):
        return {name: _without(one, key) for name, one in value.items() if name != key and not _is_about(one, key)}
    if isinstance(value, list):
        return [_without(one, key) for one in value if not _is_about(one, key)]
    return value


def _is_about(value: Any, key: str) -> bool:
    return value == key or (isinstance(value, dict) and key in value.values())


def _erase_families(users: list[int]) -> None:
    """An account that was there only for this child goes with it."""
    for user in User.objects.filter(pk__in=users):
        other_roles = Membership.objects.filter(user=user).exclude(role=Role.PARENT)
        if not other_roles.exists() and not Guardian.objects.filter(user=user).exists():
            user.delete()


def list_file() -> Path:
    return Path(settings.VAR_DIR) / "erasures.jsonl"


def _write_down(entry: Erased) -> None:
    """Beside the database, because a copy that is put back does not know what was erased after it was made."""
    path = list_file()
    path.parent.mkdir(parents=True, exist_ok=True)
    line = {"school": entry.school, "pupil": entry.pupil, "on": entry.on.isoformat()}
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(line) + "\n")


def _read_list(path: Path) -> list[Erased]:
    """A list as it was written down, or the one in the manifest of a copy."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".json":
        return [_entry(line) for line in json.loads(text)["erased"]]
    return [_entry(json.loads(line)) for line in text.splitlines() if line.strip()]


def _entry(line: dict[str, Any]) -> Erased:
    return Erased(school=int(line["school"]), pupil=str(line["pupil"]), on=date.fromisoformat(line["on"]))
