"""Every address against every kind of person. A URL that is missing from the table fails the test.

To add a URL, add one line to TABLE:

    "group-overview": Only("teacher coordinator deputy head"),         # they get 200, all others 404
    "group-close": Only("teacher", 302, post={}),                      # asked by POST; they get 302
    "group-save": Only("teacher cover", post={...}, json=True),        # asked by a script: the POST's values as JSON
    "roster-people": Only("office", post={}, status=422),              # an empty form is refused, but they may try

Strangers are sent to the sign-in page (302), or answered 401 where `json=True`. People who get something else than
either stand in `but={"head": 302}`. The ids in an address are filled in by name from `Scene.ids`, where builders make
the rows; a URL that needs another row names it: `ids={"check_id": "closed_check_id"}`. Whatever a request writes is
taken back before the next person asks.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests import builders
from tests.builders import NOW, TODAY
from tracker.actions.typed import entry_of
from tracker.models import Conflict, GroupPlace, ImportBatch, PupilGroup, User, UserSession

pytestmark = pytest.mark.django_db

PEOPLE = (
    "stranger", "teacher", "other_teacher", "cover", "cover_yesterday", "assistant", "provider", "coordinator",
    "deputy", "office", "head", "parent", "other_parent", "nobody", "other_school",
)  # fmt: skip
SIGNED_IN = " ".join(PEOPLE[1:])
ROSTER = "coordinator deputy office"
ONE_SCORE = {"key": "one-key", "base_version": 0, "typed": {"correct": 20, "wrong": 1}}


@dataclass(frozen=True)
class Only:
    """Who gets `status`; all other people get 404."""

    people: str
    status: int = 200
    post: Mapping[str, Any] | None = None
    json: bool = False
    but: Mapping[str, int] = field(default_factory=dict)
    ids: Mapping[str, str] = field(default_factory=dict)

    def expected(self) -> dict[str, int]:
        allowed = dict.fromkeys(self.people.split(), self.status)
        assert set(allowed) | set(self.but) <= set(PEOPLE), "somebody who is not in PEOPLE"
        strangers = {"stranger": 401 if self.json else 302}
        return dict.fromkeys(PEOPLE, 404) | strangers | allowed | dict(self.but)


TABLE: dict[str, Only] = {
    # first pages
    "home-landing": Only(SIGNED_IN, 302, but={"cover_yesterday": 200, "nobody": 200}),
    "home-classes": Only("teacher other_teacher coordinator deputy head other_school"),
    "home-today": Only("cover"),
    "home-groups": Only("assistant provider"),
    "family-home": Only("parent other_parent"),
    # one's own account: the same for everybody
    "account_login": Only("stranger", but=dict.fromkeys(SIGNED_IN.split(), 302)),
    "account-code": Only("stranger", 422, post={}, but=dict.fromkeys(SIGNED_IN.split(), 302)),
    "account_logout": Only(SIGNED_IN, 302, post={}),
    "account_inactive": Only(f"stranger {SIGNED_IN}"),
    "account-password": Only(SIGNED_IN),
    "account_reauthenticate": Only(SIGNED_IN),
    "account-sessions": Only(SIGNED_IN),
    "account-sessions-end": Only(SIGNED_IN, 302, post={}),
    "account-session-end": Only("teacher", 302, post={}),
    "account-school": Only("", post={}),
    "account-factor-image": Only(""),
    "session-state": Only(f"stranger {SIGNED_IN}"),
    "mfa_index": Only(SIGNED_IN),
    "mfa_authenticate": Only("", but=dict.fromkeys(SIGNED_IN.split(), 302)),
    "mfa_reauthenticate": Only("", but=dict.fromkeys(SIGNED_IN.split(), 302)),
    "mfa_activate_totp": Only(SIGNED_IN),
    "mfa_deactivate_totp": Only(""),
    "mfa_view_recovery_codes": Only(""),
    "mfa_generate_recovery_codes": Only(SIGNED_IN),
    # the week and the class
    "week-overview": Only("teacher other_teacher"),
    "week-plan": Only("teacher"),
    "week-change": Only("teacher"),
    "week-print": Only("teacher coordinator deputy"),
    "group-overview": Only("teacher coordinator deputy head"),
    "group-check": Only("teacher coordinator deputy head"),
    "group-scores": Only("teacher cover coordinator deputy"),
    "group-save": Only("teacher cover", post=ONE_SCORE, json=True),
    "group-close": Only("teacher", 302, post={}),
    "group-settle": Only("teacher cover coordinator deputy", 302, post={"take": "kept"}),
    "group-correct": Only("teacher coordinator deputy", ids={"check_id": "closed_check_id", "attempt_id": "done_id"}),
    # one pupil
    "pupil-progress": Only("teacher assistant provider coordinator deputy head"),
    "pupil-flag-seen": Only("teacher coordinator deputy", 302, post={}),
    # sheets hold no names
    "sheet-list": Only("teacher other_teacher assistant provider coordinator deputy other_school"),
    "sheet-make": Only("teacher other_teacher", 422, post={}),
    "sheet-print": Only("teacher other_teacher assistant provider coordinator deputy"),
    # people, classes, years
    "roster-overview": Only(f"{ROSTER} other_school"),
    "roster-years": Only(f"{ROSTER} other_school"),
    "roster-year": Only(ROSTER),
    "roster-classes": Only(f"{ROSTER} other_school"),
    "roster-group": Only(ROSTER),
    "roster-pupils": Only(f"{ROSTER} other_school"),
    "roster-pupil": Only(ROSTER),
    "roster-erase": Only("office"),
    "roster-people": Only(f"{ROSTER} other_school"),
    "roster-person": Only(ROSTER),
    "roster-marks": Only(f"{ROSTER} other_school"),
    "roster-mark": Only(f"{ROSTER} other_school"),
    "roster-school": Only(f"{ROSTER} other_school"),
    "roster-rules": Only(f"{ROSTER} other_school"),
    # files in and out
    "data-load": Only("coordinator office other_school"),
    "data-preview": Only("coordinator office other_school", 302),
    "data-undo": Only("coordinator office", 302, post={}),
    "data-export": Only("coordinator office other_school"),
    "data-export-file": Only("coordinator office other_school"),
}


class Scene:
    """A school with a class that is taught, covered, helped and looked after, and a second school."""

    def __init__(self) -> None:
        self.school = builders.make_school()
        make = lambda role: builders.make_member(self.school, role)  # noqa: E731
        roles = ("teacher", "cover", "assistant", "provider", "coordinator", "deputy", "office", "head", "parent")
        self.people = {role: make(role) for role in roles}
        self.people |= {"other_teacher": make("teacher"), "other_parent": make("parent")}
        self.people["nobody"] = builders.make_user()
        self._class()
        self._check()
        self._others()

    def _class(self) -> None:
        self.group = builders.make_class(self.school, teacher=self.people["teacher"])
        builders.give_class(self.people["cover"], self.group, cover=True)
        builders.make_class(self.school, "Otter", teacher=self.people["other_teacher"])
        self.pupil, second = builders.make_pupils(self.group, 2)
        builders.link_guardian(self.people["parent"], self.pupil)
        builders.link_guardian(self.people["other_parent"], second)
        for role in ("assistant", "provider"):
            small = PupilGroup.objects.create(school=self.school, name=role, holder=self.people[role], starts=TODAY)
            GroupPlace.objects.create(school=self.school, group=small, pupil=self.pupil, starts=TODAY)

    def _check(self) -> None:
        self.check = builders.make_check(self.group)
        self.closed = builders.make_check(self.group, on=TODAY - timedelta(days=7), state="closed", closed_at=NOW)
        self.sheet = builders.make_sheet(self.school)
        self.attempt = builders.make_attempt(self.check, self.pupil, sheet=self.sheet)
        self.done = builders.make_attempt(self.closed, self.pupil, sheet=self.sheet, correct=30, version=1)
        due, other = entry_of(self.attempt).as_json(), entry_of(self.done).as_json()
        self.conflict = Conflict.objects.create(
            school=self.school, attempt=self.attempt, base_version=0, kept=due, lost=other, at=NOW
        )
        builders.make_standing(self.pupil)
        self.flag = builders.make_flag(self.pupil)
        self.batch = ImportBatch.objects.create(
            school=self.school,
            kind="scores",
            rows=1,
            file_name="scores.csv",
            loaded_on=TODAY,
            loaded_at=NOW,
            trail={"checks": [], "filled": []},
        )
        self.session = UserSession.objects.create(
            user=self.people["teacher"], session_key="elsewhere", signed_in_at=NOW, seen_at=NOW
        )

    def _others(self) -> None:
        yesterday = TODAY - timedelta(days=1)
        late = self.people["cover_yesterday"] = builders.make_user()
        builders.join(late, self.school, "cover", starts=yesterday, ends=yesterday)
        builders.give_class(late, self.group, cover=True, starts=yesterday, ends=yesterday)
        self.people["other_school"] = builders.make_member(builders.make_school("Second School"), "coordinator")

    def ids(self) -> dict[str, str]:
        rows = {
            "class_id": self.group,
            "check_id": self.check,
            "closed_check_id": self.closed,
            "attempt_id": self.attempt,
            "done_id": self.done,
            "conflict_id": self.conflict,
            "pupil_id": self.pupil,
            "flag_id": self.flag,
            "sheet_id": self.sheet,
            "session_id": self.session,
            "user_id": self.people["assistant"],
            "year_id": builders.year_of(self.school),
            "batch_id": self.batch,
        }
        return {name: row.public_id for name, row in rows.items()} | {"skill_key": "sub-2d-regroup", "kind": "roster"}

    def client(self, who: str) -> Client:
        return Client() if who == "stranger" else builders.sign_in(Client(), self.people[who])


def patterns(among: Any = None) -> Iterator[URLPattern]:
    for each in get_resolver().url_patterns if among is None else among:
        if isinstance(each, URLResolver):
            yield from patterns(each.url_patterns)
        else:
            yield each


def address(name: str, row: Only, ids: Mapping[str, str]) -> str:
    pattern = next(each for each in patterns() if each.name == name)
    return reverse(name, kwargs={key: ids[row.ids.get(key, key)] for key in pattern.pattern.converters})


def answer(scene: Scene, who: str, path: str, row: Only) -> int:
    """The status; whatever was written is taken back."""
    client = scene.client(who)
    with transaction.atomic():
        response = client.get(path) if row.post is None else send(client, path, row, scene.people.get(who))
        transaction.set_rollback(True)
    return response.status_code


def send(client: Client, path: str, row: Only, person: User | None) -> Any:
    if not row.json:
        return client.post(path, row.post)
    return client.post(path, {**(row.post or {}), "user": person and person.public_id}, content_type="application/json")


def test_every_address_stands_in_the_table():
    assert {each.name for each in patterns()} == set(TABLE)


@pytest.fixture
def scene(at_time) -> Scene:
    at_time(NOW)
    return Scene()


@pytest.mark.parametrize("name", TABLE)
def test_address_is_open_to_those_it_is_for(scene, name):
    row, ids = TABLE[name], scene.ids()
    path = address(name, row, ids)

    assert {who: answer(scene, who, path, row) for who in PEOPLE} == row.expected()


@pytest.mark.parametrize("name", [name for name, row in TABLE.items() if row.expected()["stranger"] == 302])
def test_stranger_is_sent_to_the_sign_in_page(client, name, scene):
    row = TABLE[name]
    path = address(name, row, scene.ids())
    response = client.get(path) if row.post is None else client.post(path, row.post)

    assert response["Location"].startswith(reverse(settings.LOGIN_URL))
