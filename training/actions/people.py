"""Companies, people, crews and their dated ties."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Mapping
from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import Q
from django.db.models.functions import Greatest

from training.actions.authority import end_authority
from training.actions.base import hold, hold_company, record
from training.domain.errors import BadInput, Refused
from training.domain.names import sort_key
from training.domain.register import EntryKind
from training.models import Appointment, Company, Crew, CrewMembership, Entry, Membership, Person, User
from training.permissions import Actor, check_officer, check_same_company
from training.unguessable import pick, token_hex

CODE_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
DETAILS = ("given_names", "family_names", "phone", "email", "language", "born", "employee_number")


def new_code() -> str:
    """A person code that can be read aloud: two groups of three, none that look alike."""
    letters = "".join(pick(CODE_LETTERS) for _ in range(6))
    return f"{letters[:3]}-{letters[3:]}"


@transaction.atomic
def create_company(
    *,
    by: Actor,
    name: str,
    place: str = "",
    phone: str = "",
    timezone: str = "America/New_York",
    language: str = "en",
) -> Company:
    """A new employer with an empty register. Only the operator's commands call this."""
    company = Company.objects.create(name=name, place=place, phone=phone, timezone=timezone, language=language)
    record(by=by, kind=EntryKind.COMPANY_CREATED, data={"name": name, "place": place}, company=company)
    return company


@transaction.atomic
def appoint_officer(*, by: Actor, company: Company, user: User, starts: datetime.date) -> Appointment:
    """A user is the company's safety officer from a day on."""
    appointment = Appointment.objects.create(company=company, user=user, starts=starts)
    data = {"user": user.pk, "name": user.name, "starts": starts.isoformat()}
    record(by=by, kind=EntryKind.OFFICER_APPOINTED, data=data, company=company)
    return appointment


@transaction.atomic
def end_appointment(*, by: Actor, appointment: Appointment, ends: datetime.date) -> Entry:
    """An officer's last day. Nobody ends their own appointment, so that a company is never left without one."""
    check_officer(by)
    check_same_company(by, appointment.company_id)
    row = Appointment.objects.select_for_update().get(pk=appointment.pk)
    if by.user is not None and row.user_id == by.user.pk:
        raise Refused("officers.own")
    if row.ends is not None and row.ends <= ends:
        raise Refused("officers.already_ended", date=row.ends)
    if ends < row.starts:
        raise BadInput("officers.ends_before_start", field="ends", date=row.starts)
    row.ends = ends
    row.save()
    data = {"user": row.user_id, "name": row.user.name, "ends": ends}
    return record(by=by, kind=EntryKind.OFFICER_ENDED, happened_on=min(ends, by.today), data=data)


@transaction.atomic
def add_person(*, by: Actor, starts: datetime.date, details: Mapping[str, Any], source: Any = None) -> Person:
    """A human being enters the record and is employed from `starts` on."""
    check_officer(by)
    known = {name: details[name] for name in DETAILS if details.get(name)}
    person = Person(company=by.employer, code=_free_code(), source=source, **known)
    person.sort_key = sort_key(person.given_names, person.family_names)
    person.save(force_insert=True)
    record(by=by, kind=EntryKind.PERSON_ADDED, person=person, data=_plain(known) | {"code": person.code})
    start_membership(by=by, person=person, starts=starts)
    return person


@transaction.atomic
def add_person_to_crew(
    *, by: Actor, starts: datetime.date, details: Mapping[str, Any], crew: Crew | None = None
) -> Person:
    """A new person, in a crew from the first day when one is chosen."""
    person = add_person(by=by, starts=starts, details=details)
    if crew is not None:
        join_crew(by=by, person=person, crew=crew, starts=starts)
    return person


@transaction.atomic
def correct_person(*, by: Actor, person: Person, details: Mapping[str, Any]) -> Entry | None:
    """Change what the record says about a person; the register keeps both. No entry when nothing changed."""
    check_officer(by)
    check_same_company(by, person.company_id)
    now = hold(person)
    changed = {n: details[n] for n in DETAILS if n in details and details[n] != getattr(now, n)}
    if not changed:
        return None
    before = {name: getattr(now, name) for name in changed}
    for name, value in changed.items():
        setattr(person, name, value)
        setattr(now, name, value)
    person.sort_key = sort_key(now.given_names, now.family_names)
    person.save(update_fields=[*changed, "sort_key"])
    data = {"before": _plain(before), "after": _plain(changed)}
    return record(by=by, kind=EntryKind.PERSON_CORRECTED, person=person, data=data)


@transaction.atomic
def set_photo(*, by: Actor, person: Person, picture: ContentFile[bytes]) -> Entry:
    """A new photo, already re-drawn without its metadata by the form."""
    check_officer(by)
    check_same_company(by, person.company_id)
    content = hashlib.sha256(picture.read()).hexdigest()
    person.photo.save(f"{token_hex(16)}.jpg", picture, save=False)
    person.save(update_fields=["photo"])
    data = {"file": person.photo.name, "content": content}
    return record(by=by, kind=EntryKind.PHOTO_CHANGED, person=person, data=data)


@transaction.atomic
def start_membership(*, by: Actor, person: Person, starts: datetime.date) -> Entry:
    """Employment begins, or begins again after a gap."""
    check_officer(by)
    check_same_company(by, person.company_id)
    hold(person)
    clash = person.memberships.filter(ends__isnull=True) | person.memberships.filter(ends__gte=starts)
    if clash.exists():
        raise Refused("people.already_employed", date=starts)
    Membership.objects.create(person=person, starts=starts)
    data, day = {"starts": starts.isoformat()}, min(starts, by.today)
    return record(by=by, kind=EntryKind.MEMBERSHIP_STARTED, person=person, happened_on=day, data=data)


@transaction.atomic
def end_membership(*, by: Actor, person: Person, ends: datetime.date) -> Entry:
    """Employment ends after the day `ends`, or sooner than was said; crews and authority end with it.

    Each authority that ends has a page of its own.
    """
    check_officer(by)
    check_same_company(by, person.company_id)
    hold(person)
    goes_on = Q(ends__isnull=True) | Q(ends__gt=Greatest(ends, "starts"))
    membership = person.memberships.filter(goes_on).last()
    if membership is None:
        raise Refused("people.not_employed")
    if ends < membership.starts:
        raise BadInput("people.ends_before_start", field="ends", date=membership.starts)
    membership.ends = ends
    membership.save()
    for tie in person.crew_memberships.filter(goes_on):
        tie.ends = max(ends, tie.starts)
        tie.save()
    data = {"ends": ends.isoformat()}
    entry = record(by=by, kind=EntryKind.MEMBERSHIP_ENDED, person=person, happened_on=min(ends, by.today), data=data)
    for authority in person.authorities.filter(goes_on):
        last = max(ends, authority.starts)
        end_authority(by=by, authority=authority, ends=last, reason=EntryKind.MEMBERSHIP_ENDED.value)
    return entry


@transaction.atomic
def create_crew(*, by: Actor, name: str) -> Crew:
    check_officer(by)
    hold_company(by.employer)
    if Crew.objects.of(by.employer).filter(name__iexact=name).exists():
        raise BadInput("people.crew_exists", field="name", name=name)
    crew = Crew.objects.create(company=by.employer, name=name)
    record(by=by, kind=EntryKind.CREW_CREATED, data={"crew": crew.pk, "name": name})
    return crew


@transaction.atomic
def join_crew(*, by: Actor, person: Person, crew: Crew, starts: datetime.date) -> Entry:
    """Move a person to a crew from a day on; the crew before ends the day before."""
    check_officer(by)
    check_same_company(by, person.company_id)
    check_same_company(by, crew.company_id)
    hold(person)
    for tie in person.crew_memberships.filter(ends__isnull=True):
        _close_before(tie, starts)
    CrewMembership.objects.create(person=person, crew=crew, starts=starts)
    data = {"crew": crew.pk, "name": crew.name, "starts": starts.isoformat()}
    return record(by=by, kind=EntryKind.CREW_JOINED, person=person, happened_on=min(starts, by.today), data=data)


def _close_before(tie: CrewMembership, starts: datetime.date) -> None:
    if tie.starts >= starts:
        raise Refused("people.crew_move_too_early", crew=str(tie.crew), date=tie.starts)
    tie.ends = starts - datetime.timedelta(days=1)
    tie.save()


def _free_code() -> str:
    code = new_code()
    while Person.objects.filter(code=code).exists() or User.objects.filter(login=code.lower()).exists():
        code = new_code()
    return code


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values as JSON keeps them."""
    return {n: v.isoformat() if isinstance(v, datetime.date) else v for n, v in values.items()}
