"""Accounts of people."""

from datetime import date

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.reach import demand, hold_school, reach
from tracker.actions.record import Change, note_change
from tracker.actions.roles import hold_role, members
from tracker.actions.sessions import end_other_sessions
from tracker.models import Membership, User
from tracker.models.identifiers import new_public_id
from tracker.queries.names import fold

RIGHT = "manage-roster"


def own_account(by: Viewer, user_id: str) -> User:
    """An account that belongs to this school alone: of one that is shared, no school may change the sign-in."""
    user = reach(members(by.school), user_id)
    if Membership.objects.filter(user=user).exclude(school=by.school).exists():
        raise Refused(_("This account also belongs to another school, so its sign-in can't be changed here."))
    return user


@transaction.atomic
def add_person(
    *,
    name: str,
    role: str,
    starts: date,
    by: Viewer,
    on: date,
    username: str = "",
    email: str = "",
    language: str = "",
    ends: date | None = None,
    password: str = "",
) -> User:
    """Without a password the person signs in with a one-time code first; without a sign-in name one is made."""
    demand(by, RIGHT, "load-data")
    hold_school(by)
    username = username or free_username(name)
    _refuse_same_username(username)
    user = User(username=username, name=name, email=email, language=language, date_joined=timezone.now())
    user.set_password(password or None)
    user.save()
    note_change(Change("add-person", "user", user.public_id), by=by, on=on)
    hold_role(user, role, starts, ends=ends, by=by, on=on)
    return user


@transaction.atomic
def change_person(
    *, user_id: str, username: str, name: str, by: Viewer, on: date, email: str = "", language: str = ""
) -> User:
    demand(by, RIGHT)
    hold_school(by)
    user = own_account(by, user_id)
    wanted = {"username": username, "name": name, "email": email, "language": language}
    changed = [field for field, value in wanted.items() if getattr(user, field) != value]
    if "username" in changed:
        _refuse_same_username(username, but=user)
    for field in changed:
        setattr(user, field, wanted[field])
    user.save(update_fields=changed)
    note_change(Change("change-person", "user", user.public_id, after={"changed": changed}), by=by, on=on)
    return user


@transaction.atomic
def close_account(*, user_id: str, by: Viewer, on: date) -> User:
    """Nobody signs in with it any more, and browsers that are signed in are sent out at once."""
    demand(by, RIGHT)
    hold_school(by)
    user = own_account(by, user_id)
    if user.pk == by.user.pk:
        raise Refused(_("You can't close your own account; another office user can."))
    user.is_active = False
    user.save(update_fields=["is_active"])
    end_other_sessions(by=user, keep=None)
    note_change(Change("close-account", "user", user.public_id), by=by, on=on)
    return user


@transaction.atomic
def open_account(*, user_id: str, by: Viewer, on: date) -> User:
    demand(by, RIGHT)
    hold_school(by)
    user = own_account(by, user_id)
    user.is_active = True
    user.save(update_fields=["is_active"])
    note_change(Change("open-account", "user", user.public_id), by=by, on=on)
    return user


def _refuse_same_username(username: str, *, but: User | None = None) -> None:
    others = User.objects.filter(username__iexact=username)
    if (others.exclude(pk=but.pk) if but else others).exists():
        raise Refused(_("This sign-in name is taken; please choose another."), "username")


def free_username(name: str) -> str:
    """From the name where its letters are on every keyboard, else a short code; never one that is taken."""
    parts = fold(name).split()
    plain = ".".join(dict.fromkeys([*parts[:1], *parts[-1:]]))[:40]
    stem = plain if plain.isascii() and plain else f"p-{new_public_id()[:6]}"
    taken = set(User.objects.filter(username__istartswith=stem).values_list("username", flat=True))
    candidates = (stem, *(f"{stem}{number}" for number in range(2, len(taken) + 3)))
    return next(one for one in candidates if one not in {name.lower() for name in taken})
