"""Who may do what: `check_x` raises with a reason, `can_x` says yes or no from the same rule."""

from __future__ import annotations

import datetime
import zoneinfo
from dataclasses import dataclass

from training.domain.errors import HeadlapError, NotAllowed, NotFound
from training.models import Appointment, Authority, Company, Person, User


@dataclass(frozen=True)
class Actor:
    """Whoever acts, in one company, at one moment. The clock is read once, when this is made."""

    now: datetime.datetime
    user: User | None = None
    company: Company | None = None
    person: Person | None = None
    is_officer: bool = False
    authorities: tuple[Authority, ...] = ()
    language: str = "en"

    @property
    def today(self) -> datetime.date:
        """The day at the company's own clock."""
        zone = zoneinfo.ZoneInfo(self.company.timezone) if self.company else datetime.UTC
        return self.now.astimezone(zone).date()

    @property
    def is_evaluator(self) -> bool:
        return bool(self.authorities)

    @property
    def is_signed_in(self) -> bool:
        return self.user is not None

    @property
    def name(self) -> str:
        return self.user.name if self.user else "Headlap"

    @property
    def me(self) -> Person:
        """The human being, for those who have passed a check that there is one."""
        if self.person is None:
            raise NotAllowed("access.person_only")
        return self.person

    @property
    def account(self) -> User:
        """The sign-in, for those who have passed a check that there is one."""
        if self.user is None:
            raise NotAllowed("access.person_only")
        return self.user

    @property
    def employer(self) -> Company:
        """The company, for those who have passed a check that there is one."""
        if self.company is None:
            raise NotAllowed("access.no_company")
        return self.company


def actor_for(user: User, *, now: datetime.datetime, language: str = "en") -> Actor:
    """The actor a user is at a moment: officer by appointment, else a person employed that day."""
    person = Person.objects.select_related("company").filter(user=user, source__undone_at__isnull=True).first()
    appointment = _appointment(user, now)
    company = appointment.company if appointment else person.company if person else None
    if company is None:
        return Actor(now=now, user=user, language=language)
    actor = Actor(now=now, user=user, company=company, language=language, is_officer=appointment is not None)
    if person is None or person.company_id != company.pk or not person.employed_on(actor.today):
        return actor if appointment else Actor(now=now, user=user, language=language)
    authorities = tuple(Authority.objects.filter(person=person, company=company).on(actor.today))
    return Actor(
        now=now,
        user=user,
        company=company,
        person=person,
        is_officer=appointment is not None,
        authorities=authorities,
        language=language,
    )


def _appointment(user: User, now: datetime.datetime) -> Appointment | None:
    for appointment in Appointment.objects.filter(user=user).select_related("company").order_by("-starts"):
        day = now.astimezone(zoneinfo.ZoneInfo(appointment.company.timezone)).date()
        if appointment.starts <= day and (appointment.ends is None or day <= appointment.ends):
            return appointment
    return None


def check_officer(actor: Actor) -> None:
    if not actor.is_officer:
        raise NotAllowed("access.officer_only")


def check_evaluator(actor: Actor) -> None:
    if not (actor.is_evaluator and actor.person):
        raise NotAllowed("access.evaluator_only")


def check_person(actor: Actor) -> None:
    """Someone on a crew, acting on their own path."""
    if actor.person is None:
        raise NotAllowed("access.person_only")


def check_own(actor: Actor, person: Person) -> None:
    """Only the person themself; strangers are told nothing, colleagues that it is not theirs."""
    check_same_company(actor, person.company_id)
    if actor.person is None or actor.person.pk != person.pk:
        raise NotAllowed("access.own_only")


def check_same_company(actor: Actor, company_id: int) -> None:
    """Rows of another company do not exist for the actor."""
    if actor.company is None or actor.company.pk != company_id:
        raise NotFound("access.not_found")


def check_sees_person(actor: Actor, person: Person) -> None:
    """Officers and evaluators of the company see a person's record; a person sees their own."""
    check_same_company(actor, person.company_id)
    if not (actor.is_officer or actor.is_evaluator or (actor.person and actor.person.pk == person.pk)):
        raise NotAllowed("access.own_only")


def _passes(check: object, *args: object) -> bool:
    try:
        check(*args)  # type: ignore[operator]
    except HeadlapError:
        return False
    return True


def can_officer(actor: Actor) -> bool:
    return _passes(check_officer, actor)


def can_evaluator(actor: Actor) -> bool:
    return _passes(check_evaluator, actor)


def can_person(actor: Actor) -> bool:
    return _passes(check_person, actor)


def can_see_person(actor: Actor, person: Person) -> bool:
    return _passes(check_sees_person, actor, person)
