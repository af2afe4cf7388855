"""Sign-ins: given by the officer on paper, the secret shown once and changed at first use."""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from django.db import transaction

from training.actions.base import hold, hold_company, record
from training.actions.people import appoint_officer
from training.domain.errors import BadInput, Refused
from training.domain.register import EntryKind
from training.models import Company, Person, User
from training.permissions import Actor, check_officer, check_same_company

PIN_LENGTH = 8
SHORTEST_PIN = 6
SHORTEST_PASSWORD = 15


@dataclass(frozen=True)
class SignIn:
    """What is handed over once: the code and the secret. The secret is kept only as a hash."""

    user: User
    secret: str


def new_pin() -> str:
    return "".join(secrets.choice("0123456789") for _ in range(PIN_LENGTH))


@transaction.atomic
def give_access(*, by: Actor, person: Person, pin: str | None = None) -> SignIn:
    """A person code and a fresh PIN; a PIN given before stops working at once."""
    check_officer(by)
    check_same_company(by, person.company_id)
    held = hold(person)
    if not person.employed_on(by.today):
        raise Refused("people.not_employed")
    secret = pin or new_pin()
    user = held.user or User(login=person.code.lower())
    user.name, user.language, user.is_active = person.full_name, person.language, True
    user.must_change_secret = pin is None
    user.set_password(secret)
    user.save()
    person.user = user
    person.save(update_fields=["user"])
    record(by=by, kind=EntryKind.ACCESS_GIVEN, person=person, data={"login": user.login})
    return SignIn(user=user, secret=secret)


@transaction.atomic
def create_staff_user(
    *,
    by: Actor,
    company: Company,
    login: str,
    name: str,
    email: str = "",
    language: str = "en",
    secret: str | None = None,
) -> SignIn:
    """A sign-in for an officer, with a password shown once."""
    login = login.strip().lower()
    hold_company(company)
    if User.objects.filter(login=login).exists() or Person.objects.filter(code__iexact=login).exists():
        raise BadInput("access.login_taken", field="login", login=login)
    password = secret or secrets.token_urlsafe(15)
    user = User(login=login, name=name, email=email, language=language, must_change_secret=secret is None)
    user.set_password(password)
    user.save()
    record(by=by, kind=EntryKind.ACCESS_GIVEN, data={"login": login, "user": user.pk}, company=company)
    return SignIn(user=user, secret=password)


@transaction.atomic
def add_officer(*, by: Actor, login: str, name: str, email: str = "", language: str = "en") -> SignIn:
    """Another safety officer of the same company, with a password shown once."""
    check_officer(by)
    given = create_staff_user(by=by, company=by.employer, login=login, name=name, email=email, language=language)
    appoint_officer(by=by, company=by.employer, user=given.user, starts=by.today)
    return given


@transaction.atomic
def change_secret(*, by: Actor, secret: str) -> User:
    """The signed-in user's own new PIN or password; every other session of theirs ends."""
    user = by.user
    if user is None:
        raise Refused("access.person_only")
    user.set_password(secret)
    user.must_change_secret = False
    user.save()
    if by.company is not None:
        record(by=by, kind=EntryKind.SECRET_CHANGED, person=by.person, data={"user": user.pk})
    return user
