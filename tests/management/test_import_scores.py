"""The command that loads files."""

import os
import subprocess
import sys

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from tests import builders as make
from tests.actions.imports.files import KEY, make_office, scores, table
from tests.conftest import ROOT
from tracker.access.viewer import today_at
from tracker.models import Attempt, Pupil, SchoolYear


@pytest.fixture
def office(db):
    """A school whose year holds the real today, since a command asks the clock of the machine."""
    office = make_office()
    on = today_at(office.school, now=timezone.now())
    SchoolYear.objects.update(starts=on.replace(month=1, day=1), ends=on.replace(month=12, day=31))
    office.by.user.memberships.update(starts=on.replace(month=1, day=1))
    return office


def day(office):
    return today_at(office.school, now=timezone.now())


def pupil(office):
    made = office.pupil(school_ref="A1")
    made.enrolments.update(starts=day(office).replace(month=1, day=1))
    Pupil.objects.update(joined_on=day(office).replace(month=1, day=1))
    return made


def run(capsys, tmp_path, content, *options):
    file = tmp_path / "class.csv"
    file.write_text(content, encoding="utf-8")
    call_command("import_scores", str(file), *options)
    return capsys.readouterr().out.splitlines()


def test_scores_are_loaded_and_counted(office, capsys, tmp_path):
    pupil(office)
    content = scores(["A1", KEY, day(office), 24, 3, 120])

    assert run(capsys, tmp_path, content, "--by", office.by.user.username) == ["1 loaded, 0 there already."]
    assert run(capsys, tmp_path, content, "--by", office.by.user.username) == ["Nothing new in the file."]
    assert Attempt.objects.get().correct == 24


def test_only_office_account_needs_no_name(office, capsys, tmp_path):
    content = table("ref,name,class,grade", ["B2", "Ben Ode", "Heron", 3])

    assert run(capsys, tmp_path, content, "--roster") == ["1 loaded, 0 there already."]
    assert str(Pupil.objects.get()) == "Ben Ode"


def test_preview_writes_nothing_and_tells_warnings(office, capsys, tmp_path):
    pupil(office)

    out = run(capsys, tmp_path, scores(["A1", KEY, day(office), 24, 3, ""]), "--preview")

    assert out == ["1 row has no time: it counts for accuracy, not for the rate.", "1 new or changed, 0 there already."]
    assert Attempt.objects.count() == 0


def test_every_fault_is_told_and_the_command_fails(office, capsys, tmp_path):
    with pytest.raises(CommandError) as caught:
        run(capsys, tmp_path, scores(["B8", KEY, day(office), 24, 3, 120], ["B9", KEY, day(office), 24, 3, 120]))

    assert (str(caught.value), caught.value.returncode) == (
        "Nothing was loaded. Mend these in the file and run the command again.", 1
    )  # fmt: skip
    assert capsys.readouterr().err.splitlines() == [
        "Row 2, column “reference”: No pupil of this school has the reference “B8”.",
        "Row 3, column “reference”: No pupil of this school has the reference “B9”.",
    ]


def failure(*options):
    with pytest.raises(CommandError) as caught:
        call_command("import_scores", *map(str, options))
    return str(caught.value)


def test_missing_file_fails(office, tmp_path):
    assert failure(tmp_path / "none.csv").endswith("none.csv can't be read: No such file or directory.")


def test_folder_fails(office, tmp_path):
    assert failure(tmp_path).endswith("can't be read: Is a directory.")


def test_unreadable_file_fails(office, tmp_path):
    (tmp_path / "book.csv").write_bytes(b"PK\x03\x04")

    assert failure(tmp_path / "book.csv").startswith("This is a workbook.")


def test_unknown_person_fails(office, tmp_path):
    assert failure(tmp_path, "--by", "nobody") == "Nobody with the sign-in name nobody has a role today."


def test_person_without_the_right_fails(office, tmp_path):
    teacher = make.make_member(office.school, "teacher")
    teacher.memberships.update(starts=day(office))
    (tmp_path / "class.csv").write_text("x")

    assert failure(tmp_path / "class.csv", "--by", teacher.username) == f"{teacher.username} may not load files."


def test_two_office_people_must_be_told_apart(office, tmp_path):
    make.make_member(office.school, "office")

    assert failure(tmp_path) == (
        "Say with --by who loads the file: the sign-in name of an office or coordinator account."
    )


def test_person_of_two_schools_names_one(office, capsys, tmp_path):
    second = make.make_school("Second School")
    SchoolYear.objects.filter(school=second).update(
        starts=day(office).replace(month=1, day=1), ends=day(office).replace(month=12, day=31)
    )
    make.join(office.by.user, second, "office", starts=day(office))
    content = table("ref,name,class,grade", ["B2", "Ben Ode", "Kite", 3])

    run(capsys, tmp_path, content, "--roster", "--school", "second school")

    assert Pupil.objects.get().school == second
    assert failure(tmp_path, "--school", "Third").endswith("has no role at Third today.")


def manage(url, folder, *arguments):
    """A process of its own, as on a server."""
    settings = {
        "DATABASE_URL": url,
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "DOUBLERULE_VAR": str(folder),
    }
    command = [sys.executable, str(ROOT / "manage.py"), *map(str, arguments)]
    return subprocess.Popen(
        command, env=os.environ | settings, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def finish(process):
    out, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    return out.splitlines()[-1]


def test_one_file_loaded_by_two_processes_at_once_is_loaded_once(database_url, tmp_path):
    year = timezone.now().year
    finish(manage(database_url, tmp_path, "migrate"))
    finish(
        manage(
            database_url, tmp_path, "start_school", "--name", "Harbour Lane School", "--timezone", "UTC",
            "--year-name", str(year), "--year-starts", f"{year}-01-01", "--year-ends", f"{year}-12-31",
            "--office-name", "Mira Solberg", "--office-username", "mira", "--code", "--no-input",
        )
    )  # fmt: skip
    file = tmp_path / "class.csv"
    file.write_text(table("ref,name,class,grade", *([f"P{n}", f"Pupil {n}", "Heron", 3] for n in range(200))))

    both = [manage(database_url, tmp_path, "import_scores", file, "--roster", "--by", "mira") for _ in range(2)]

    assert sorted(map(finish, both)) == ["200 loaded, 0 there already.", "Nothing new in the file."]
