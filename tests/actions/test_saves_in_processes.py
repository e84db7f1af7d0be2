"""Scores saved by processes that race, repeat themselves or are killed, on SQLite and on PostgreSQL."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from itertools import count
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

import pytest

ROOT = Path(__file__).resolve().parents[2]
_names = count(1)


class Process:
    """One saver: jobs are sent without waiting, answers read in their order."""

    def __init__(self, url: str) -> None:
        self.program = subprocess.Popen(
            [sys.executable, "-m", "tests.actions.saver"],
            cwd=ROOT,
            env={**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "tests.settings"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def send(self, do: str, **job: Any) -> None:
        self.program.stdin.write(json.dumps({"do": do, **job}) + "\n")
        self.program.stdin.flush()

    def answer(self) -> dict[str, Any]:
        return json.loads(self.program.stdout.readline())

    def ask(self, do: str, **job: Any) -> dict[str, Any]:
        self.send(do, **job)
        return self.answer()

    def answers_left(self) -> list[dict[str, Any]]:
        """After a kill: what had been acknowledged; a line that broke off is none."""
        lines = self.program.stdout.read().splitlines(keepends=True)
        return [json.loads(line) for line in lines if line.endswith("\n")]

    def end(self) -> None:
        self.program.kill()
        self.program.wait()
        for pipe in (self.program.stdin, self.program.stdout):
            try:
                pipe.close()
            except BrokenPipeError:
                continue


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def url(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """One database for all tests of this module: each seeds a school of its own."""
    with ExitStack() as stack:
        if request.param == "sqlite":
            made = f"sqlite:///{tmp_path_factory.mktemp('saves')}/own.sqlite3"
        else:
            made = stack.enter_context(postgres_database(request.getfixturevalue("postgres_server")))
        yield made


class postgres_database:  # noqa: N801 (used as a function)
    def __init__(self, server: str) -> None:
        self.server, self.name = server, f"saves_{uuid4().hex}"

    def _run(self, statement: str) -> None:
        import psycopg

        with psycopg.connect(self.server, autocommit=True) as connection:
            connection.execute(statement)

    def __enter__(self) -> str:
        self._run(f'create database "{self.name}"')
        return urlunsplit(urlsplit(self.server)._replace(path=f"/{self.name}"))

    def __exit__(self, *_: object) -> None:
        self._run(f'drop database "{self.name}" with (force)')


@pytest.fixture(scope="module")
def savers(url: str) -> Iterator[list[Process]]:
    """Four that are started once: starting is most of the time that these tests take."""
    made = [Process(url) for _ in range(4)]
    for one in made:
        one.answer()
    made[0].ask("prepare")
    yield made
    for one in made:
        one.end()


def seeded(saver: Process, **job: Any) -> dict[str, Any]:
    found = saver.ask("seed", name=f"School {next(_names)} {uuid4().hex[:6]}", **job)
    return {**found, "check": found["checks"][0], "first": found["rows"][0]}


def test_of_two_who_type_the_same_row_one_wins_and_nothing_is_lost(savers):
    place = seeded(savers[0], pupils=8)

    for saver, user, correct in zip(savers, place["users"], (30, 40), strict=False):
        for row in place["first"]:
            saver.send(
                "save", user=user, check=place["check"], row=row, correct=correct, key=f"{row}-{correct}", base=0
            )
    answers = [[saver.answer() for _ in place["first"]] for saver in savers[:2]]

    looked = savers[2].ask("look", check=place["check"])
    lost = dict(looked["lost"])
    for row, one, two in zip(place["first"], *answers, strict=True):
        assert sorted([one["state"], two["state"]]) == ["conflict", "saved"]
        winner, loser = (30, 40) if one["state"] == "saved" else (40, 30)
        assert (looked["rows"][row]["correct"], looked["rows"][row]["version"], lost[row]) == (winner, 1, loser)
    assert looked["out_of_step"] == 0


def test_many_who_type_different_rows_all_arrive(savers):
    place = seeded(savers[0], pupils=24)

    for number, row in enumerate(place["first"]):
        saver, user = savers[number % 4], place["users"][number % 2]
        saver.send("save", user=user, check=place["check"], row=row, correct=20 + number, key=row, base=0)
    answers = [savers[number % 4].answer() for number in range(24)]

    assert {answer["state"] for answer in answers} == {"saved"}
    assert sorted(answer["left"] for answer in answers) == list(range(24))
    looked = savers[0].ask("look", check=place["check"])
    assert [row["correct"] for row in looked["rows"].values()] == list(range(20, 44))
    assert (looked["current"], looked["out_of_step"]) == (24, 0)


def test_double_click_is_stored_once(savers):
    place = seeded(savers[0], pupils=8)

    for saver in savers:
        for row in place["first"]:
            saver.send("save", user=place["users"][0], check=place["check"], row=row, correct=33, key=row, base=0)
    answers = [[saver.answer() for _ in place["first"]] for saver in savers]

    for same in zip(*answers, strict=True):
        assert sorted(answer["state"] for answer in same) == ["same", "same", "same", "saved"]
        assert {answer["version"] for answer in same} == {1}
    looked = savers[0].ask("look", check=place["check"])
    assert all(looked["lines"][row] == looked["keys"][row] == 1 for row in place["first"])
    assert looked["lost"] == []


def test_two_checks_of_the_same_pupils_leave_right_standings(savers):
    place = seeded(savers[0], pupils=10, checks=2)

    for check, rows, saver in zip(place["checks"], place["rows"], savers, strict=False):
        for row in rows:
            saver.send("save", user=place["users"][0], check=check, row=row, correct=30, key=row, base=0)
    for saver, rows in zip(savers, place["rows"], strict=False):
        assert {saver.answer()["state"] for _ in rows} == {"saved"}

    assert savers[0].ask("look", check=place["check"])["out_of_step"] == 0


def test_closing_between_saves_loses_none_that_was_acknowledged(savers):
    place = seeded(savers[0], pupils=20)

    for row in place["first"]:
        savers[0].send("save", user=place["users"][0], check=place["check"], row=row, correct=30, key=row, base=0)
    first = [savers[0].answer() for _ in range(5)]
    for saver in savers[1:3]:
        saver.send("close", user=place["users"][1], check=place["check"])
    answers = first + [savers[0].answer() for _ in place["first"][5:]]
    closed = [saver.answer() for saver in savers[1:3]]

    looked = savers[0].ask("look", check=place["check"])
    states = [answer["state"] for answer in answers]
    saved = states.count("saved")
    assert states == ["saved"] * saved + ["refused"] * (20 - saved)
    found = [row["status"] for row in looked["rows"].values()]
    assert found == ["done"] * saved + ["not-given"] * (20 - saved)
    assert [one["not_given"] for one in closed] == [20 - saved] * 2
    assert (looked["state"], looked["out_of_step"]) == ("closed", 0)


def test_sheet_that_several_ask_for_at_once_is_made_once_and_whole(savers):
    place = seeded(savers[0], pupils=1)

    for form in range(1, 4):
        for saver in savers:
            saver.send("sheet", check=place["check"], form=form)
    answers = [[saver.answer() for _ in range(3)] for saver in savers]

    assert answers == [answers[0]] * 4
    assert len({answer["sheet"] for answer in answers[0]}) == 3
    assert min(answer["items"] for answer in answers[0]) > 40


def test_day_that_is_worked_twice_closes_a_check_once(savers):
    place = seeded(savers[0], pupils=5)

    for saver in savers:
        saver.send("overdue", check=place["check"])
    closed = [saver.answer()["closed"] for saver in savers]

    assert sorted(closed) == [0, 0, 0, 1]
    looked = savers[0].ask("look", check=place["check"])
    assert {row["version"] for row in looked["rows"].values()} == {1}


def test_killed_in_the_middle_of_saves_keeps_every_acknowledged_one_whole(url, savers):
    place = seeded(savers[0], pupils=6)
    acknowledged = dict.fromkeys(place["first"], 0)

    for turn in range(3):
        doomed = Process(url)
        doomed.answer()
        jobs = [(row, acknowledged[row] + step) for step in range(12) for row in place["first"]]
        for row, base in jobs:
            key = f"{turn}-{row}-{base}"
            doomed.send("save", user=place["users"][0], check=place["check"], row=row, correct=base, key=key, base=base)
        done = [doomed.answer() for _ in range(7 + turn)]
        doomed.program.kill()
        done += doomed.answers_left()
        doomed.end()

        looked = savers[0].ask("look", check=place["check"])
        told = dict(acknowledged)
        for (row, _), answer in zip(jobs, done, strict=False):
            assert answer["state"] == "saved"
            told[row] = answer["version"]
        ahead = 0
        for row, version in told.items():
            stored = looked["rows"][row]
            # One save may have been committed in the moment before its answer went out.
            ahead += stored["version"] - version
            assert (stored["correct"], stored["wrong"], stored["seconds"]) == (stored["version"] - 1, 0, 120)
            assert looked["lines"][row] == looked["keys"][row] == stored["version"]
            acknowledged[row] = stored["version"]
        assert ahead in (0, 1)
        assert len(done) < len(jobs)
        assert looked["out_of_step"] == 0
        unsure, base = jobs[len(done)]
        key = f"{turn}-{unsure}-{base}"
        again = savers[0].ask(
            "save", user=place["users"][0], check=place["check"], row=unsure, correct=base, key=key, base=base
        )
        assert (again["state"], again["version"]) == ("same" if ahead else "saved", base + 1)
        acknowledged[unsure] = again["version"]
