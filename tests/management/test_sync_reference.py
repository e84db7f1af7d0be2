from io import StringIO

from django.core.management import call_command

from tracker.measures import ladder


def test_command_says_what_it_wrote(db):
    first, second = StringIO(), StringIO()

    call_command("sync_reference", stdout=first)
    call_command("sync_reference", stdout=second)

    assert first.getvalue().startswith("Skills written: ")
    assert int(first.getvalue().split(": ")[1].rstrip(".\n")) >= len(ladder.steps())
    assert second.getvalue() == "All skills are up to date.\n"
