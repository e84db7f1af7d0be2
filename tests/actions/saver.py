"""A process of its own that seeds, saves and looks, for tests that race or kill it. Jobs come in as JSON lines, an
answer goes out once the job is committed."""

import json
import sys
from datetime import timedelta
from typing import Any

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.db.models import Count  # noqa: E402

from tests import builders as make  # noqa: E402
from tests.actions.scene import KEY, ON, colleague_of, make_scene  # noqa: E402
from tracker.access.viewer import viewer_for  # noqa: E402
from tracker.actions.checks import PlannedRow, close_check, close_overdue  # noqa: E402
from tracker.actions.errors import Refused  # noqa: E402
from tracker.actions.scores import Typed, save_row  # noqa: E402
from tracker.actions.sheets import sheet_for  # noqa: E402
from tracker.actions.standings import rebuild  # noqa: E402
from tracker.models import Attempt, ChangeRecord, Check, Conflict, SaveKey, Standing, User  # noqa: E402


def prepare(job: dict[str, Any]) -> dict[str, Any]:
    """Makes the tables; only here nothing is lost by not waiting for the disk."""
    if connection.vendor == "sqlite":
        connection.cursor().execute("PRAGMA synchronous=OFF")
    call_command("migrate", verbosity=0)
    make.make_ladder()
    connection.close()
    return {}


def seed(job: dict[str, Any]) -> dict[str, Any]:
    """A class, two teachers, and checks with the same pupils, a week apart."""
    scene = make_scene(name=job["name"])
    other = colleague_of(scene)
    pupils = make.make_pupils(scene.group, job["pupils"])
    checks = [
        scene.plan(*(PlannedRow(pupil.public_id, KEY) for pupil in pupils), on=ON - timedelta(weeks=week))
        for week in range(job.get("checks", 1))
    ]
    return {
        "users": [scene.by.user.username, other.user.username],
        "checks": [check.public_id for check in checks],
        "rows": [list(check.attempts.order_by("pk").values_list("public_id", flat=True)) for check in checks],
    }


def viewer(job: dict[str, Any]) -> Any:
    return viewer_for(User.objects.get(username=job["user"]), now=make.NOW)


def save(job: dict[str, Any]) -> dict[str, Any]:
    typed = Typed(correct=job["correct"], wrong=0, seconds=120)
    try:
        result = save_row(
            check_id=job["check"],
            attempt_id=job["row"],
            typed=typed,
            key=job["key"],
            base_version=job["base"],
            by=viewer(job),
            on=ON,
        )
    except Refused as refused:
        return {"state": "refused", "sentence": refused.sentence}
    return result.as_json()


def close(job: dict[str, Any]) -> dict[str, Any]:
    return {"not_given": close_check(check_id=job["check"], by=viewer(job), on=ON).not_given}


def sheet(job: dict[str, Any]) -> dict[str, Any]:
    school = Check.objects.select_related("school").get(public_id=job["check"]).school
    made = sheet_for(school=school, skill_key="times-all", form=job["form"], at=make.NOW)
    return {"sheet": made.public_id, "items": made.items.count(), "digits": made.digits_possible}


def overdue(job: dict[str, Any]) -> dict[str, Any]:
    school = Check.objects.select_related("school").get(public_id=job["check"]).school
    return {"closed": close_overdue(school=school, on=ON + timedelta(weeks=2))}


def look(job: dict[str, Any]) -> dict[str, Any]:
    check = Check.objects.get(public_id=job["check"])
    rows = check.attempts.order_by("pk")
    columns = ("public_id", "status", "correct", "wrong", "seconds", "version")
    about = ChangeRecord.objects.filter(action="save-score").values("subject_key").annotate(n=Count("pk"))
    keys = SaveKey.objects.values("attempt__public_id").annotate(n=Count("pk"))
    return {
        "state": check.state,
        "rows": {row["public_id"]: row for row in rows.values(*columns)},
        "lines": dict(about.values_list("subject_key", "n")),
        "keys": dict(keys.values_list("attempt__public_id", "n")),
        "lost": sorted(Conflict.objects.filter(attempt__in=rows).values_list("attempt__public_id", "lost__correct")),
        "current": Standing.objects.filter(pupil__in=rows.values("pupil"), is_current=True).count(),
        "sat": Attempt.objects.filter(pk__in=rows, status="done").count(),
        "out_of_step": rebuild(school=check.school, on=ON, at=make.NOW, look_only=True).changed,
    }


WORK = {
    "prepare": prepare,
    "seed": seed,
    "save": save,
    "close": close,
    "sheet": sheet,
    "overdue": overdue,
    "look": look,
}


def main() -> None:
    print(json.dumps({"ready": True}), flush=True)
    for line in sys.stdin:
        job = json.loads(line)
        print(json.dumps(WORK[job["do"]](job)), flush=True)


if __name__ == "__main__":
    main()
