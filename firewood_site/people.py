"""Those who sign in: who sells, drives or helps, and how they get their first password."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.tokens import default_token_generator
from django.db import transaction
from django.urls import reverse
from django.utils.crypto import get_random_string
from django.utils.http import base36_to_int, int_to_base36

from firewood_site.access import DRIVERS, HELPERS, SELLERS
from firewood_site.refusals import PageRefusal
from inventory.services import audit

ROLES = {"seller": SELLERS, "driver": DRIVERS, "helper": HELPERS}
READ_ALOUD = "abcdefghjkmnpqrstuvwxyz23456789"  # no letter that is taken for another


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    id: int
    name: str
    role: str  # one of ROLES, or "" for nobody's pages


@dataclass(frozen=True, slots=True, kw_only=True)
class Author:
    """Who says so, and when."""

    on: date
    at: datetime
    who: str

    def dated(self, on: date | None) -> "Author":
        """The same of a day that was said, never one to come."""
        return replace(self, on=min(on or self.on, self.on))

    @property
    def without_day(self) -> dict[str, Any]:
        return {"at": self.at, "who": self.who}

    @property
    def all(self) -> dict[str, Any]:
        return {"on": self.on, **self.without_day}


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """How somebody signs in for the first time: by the link, or by name and code."""

    name: str
    code: str
    link: str


def make_groups(*, using: str, **_more: Any) -> None:
    """A group for each role, there from the first `migrate` on."""
    for name in ROLES.values():
        Group.objects.using(using).get_or_create(name=name)


def people() -> tuple[Person, ...]:
    """Everybody who can sign in, by name; who installed the app sells too."""
    rows = User.objects.filter(is_active=True).prefetch_related("groups").order_by("username")
    return tuple(Person(id=row.pk, name=row.username, role=_role(row)) for row in rows)


@transaction.atomic
def add_person(*, name: str, role: str, at: datetime, who: str) -> str:
    """Somebody new who sells, drives or helps; their first password, made up here.

    Errors
        PageRefusal: the name is taken.
        ValidationError: a name that is refused.
    """
    name = name.strip()
    if User.objects.filter(username__iexact=name).exists():
        raise PageRefusal("Somebody signs in as {name} already: choose another name.", name=name)
    first = _read_aloud()
    user = User(username=name)
    user.set_password(first)
    user.full_clean()
    user.save()
    user.groups.add(Group.objects.get(name=ROLES[role]))
    audit.note(at=at, who=who, verb="added", thing=f"person {name}"[:40], after={"role": role})
    return first


@transaction.atomic
def invite(*, user_id: int, at: datetime, who: str) -> Invitation:
    """A new first password for somebody, to read aloud, and a link that lets them choose their own.

    What they signed in with before ends; so does the link, once they have used it or the password.

    Errors
        PageRefusal: oneself, somebody who is gone, or who installed the app.
    """
    user = User.objects.filter(pk=user_id, is_active=True).first()
    if user is None:
        raise PageRefusal("That person is not in the books any more.")
    if user.username == who:
        raise PageRefusal("That is yourself: your password is under Your log-in.")
    if user.is_superuser:
        raise PageRefusal("{name} installed this app: their password is their own.", name=user.username)
    code = _read_aloud()
    user.set_password(code)
    user.save(update_fields=["password"])
    audit.note(at=at, who=who, verb="invited", thing=f"person {user.username}"[:40])
    return invitation_of(user, code=code)


def invitation_of(user: User, *, code: str) -> Invitation:
    """The words of an invitation: the link lasts PASSWORD_RESET_TIMEOUT, three days by default."""
    token = f"{int_to_base36(user.pk)}-{default_token_generator.make_token(user)}"
    return Invitation(
        name=user.username, code=code, link=f"{settings.SITE_URL}{reverse('join', args=[token])}"
    )


def invited(token: str) -> User | None:
    """Whom a link invites; nobody once it was used or is too old."""
    key, _dash, secret = token.partition("-")
    try:
        user = User.objects.filter(pk=base36_to_int(key), is_active=True).first()
    except (ValueError, OverflowError):
        return None
    return user if user is not None and default_token_generator.check_token(user, secret) else None


@transaction.atomic
def accept(*, user: User, password: str, at: datetime) -> None:
    """Somebody invited chose a password of their own.

    Errors
        ValidationError: one that is refused.
    """
    validate_password(password, user)
    user.set_password(password)
    user.save(update_fields=["password"])
    audit.note(at=at, who=user.username, verb="joined", thing=f"person {user.username}"[:40])


def _read_aloud() -> str:
    return "-".join(get_random_string(4, READ_ALOUD) for _ in range(3))


@transaction.atomic
def set_role(*, user_id: int, role: str, at: datetime, who: str) -> None:
    """What somebody may see from now on; "none" shuts them out. Nobody changes their own.

    Errors
        PageRefusal: oneself, or somebody who is gone.
    """
    user = User.objects.filter(pk=user_id).first()
    if user is None:
        raise PageRefusal("That person is not in the books any more.")
    if user.username == who:
        raise PageRefusal("You can't change what you may do yourself: another seller can.")
    if user.is_superuser:
        raise PageRefusal("{name} installed this app and may do everything.", name=user.username)
    before = _role(user)
    user.groups.set(Group.objects.filter(name=ROLES[role]) if role in ROLES else [])
    audit.note(
        at=at, who=who, verb="changed", thing=f"person {user.username}"[:40],
        before={"role": before}, after={"role": role},
    )  # fmt: skip


def _role(user: User) -> str:
    groups = {group.name for group in user.groups.all()}
    if user.is_superuser:
        return "seller"
    return next((role for role, group in ROLES.items() if group in groups), "")
