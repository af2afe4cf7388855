"""Cards are issued and replaced here and nowhere else; wrong guesses at the gate are counted here too."""

from __future__ import annotations

import datetime

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.crypto import salted_hmac

from certificates.domain.gate import window_of
from certificates.facts import draft
from certificates.models import Card, CheckMiss, current_card_of
from training.actions.base import record
from training.domain.errors import BadInput, Refused
from training.domain.register import EntryKind
from training.facts import standing_of
from training.models import Person, QualificationRevision
from training.models.rules import qualification_in_force
from training.permissions import Actor, check_officer, check_same_company

LONGEST_REASON = 200


@transaction.atomic
def issue_card(
    *,
    by: Actor,
    person: Person,
    qualification: QualificationRevision | None = None,
    language: str | None = None,
) -> Card:
    """A card that says what the person holds today.

    Asked twice, it is issued once: a current card that already says the same is given back. One that says something
    else (renewed, widened, another name) is replaced. Refused with the reason unless the person may work today.
    """
    check_officer(by)
    check_same_company(by, person.company_id)
    person = _locked(person)
    fresh = _card_today(by, person, qualification, language)
    current = current_card_of(person)
    if current is not None and _says_the_same(current, fresh):
        return current
    if current is not None:
        return _put_in_place(by, current, fresh, "changed")
    return _issued(by, fresh)


@transaction.atomic
def replace_card(*, by: Actor, card: Card, reason: str) -> Card:
    """A new card with a new number; the old number is void at once. Asked twice, the first new card is given back."""
    check_officer(by)
    check_same_company(by, card.company_id)
    reason = " ".join(reason.split())[:LONGEST_REASON]
    if not reason:
        raise BadInput("card.reason_missing", field="reason")
    person = _locked(card.person)
    current = current_card_of(person)
    if current is not None and current.pk != card.pk:
        return current
    fresh = _card_today(by, person, None, card.language)
    return _put_in_place(by, card, fresh, reason)


def may_issue(*, by: Actor, person: Person) -> None:
    """Raises Refused with the reason a card may not be issued today."""
    _card_today(by, person, None, None)


def count_miss(*, address: str, now: datetime.datetime) -> None:
    """One wrong guess by an address. Not an act on anybody's record, so no register entry."""
    window, key = window_of(now), address_key(address)
    if CheckMiss.objects.filter(address=key, window=window).update(count=F("count") + 1):
        return
    try:
        with transaction.atomic():
            CheckMiss.objects.filter(window__lt=window - datetime.timedelta(days=1)).delete()
            CheckMiss.objects.create(address=key, window=window, count=1)
    except IntegrityError:
        CheckMiss.objects.filter(address=key, window=window).update(count=F("count") + 1)


def address_key(address: str) -> str:
    """A network address as kept: a keyed hash, so that the table says nothing about who stood at which gate."""
    return salted_hmac("certificates.check", address, algorithm="sha256").hexdigest()


def _locked(person: Person) -> Person:
    """The person's row, held until commit: two clicks at once come one after the other."""
    found = Person.objects.select_for_update(of=("self",)).select_related("company")
    return found.prefetch_related("memberships").get(pk=person.pk)


def _card_today(by: Actor, person: Person, row: QualificationRevision | None, language: str | None) -> Card:
    if not person.employed_on(by.today):
        raise Refused("card.not_employed")
    row = row or qualification_in_force(person.company, by.today)
    held = standing_of(person, row, by.today)
    if not held.may_work:
        raise Refused(f"card.state.{held.state}")
    if not held.held:
        raise Refused("card.no_scope")
    return draft(person, row, held, by.today, language or person.language)


def _says_the_same(card: Card, fresh: Card) -> bool:
    names = ("name", "issuer", "scopes", "language", "expires_on", "qualification_id")
    return all(getattr(card, name) == getattr(fresh, name) for name in names)


def _issued(by: Actor, fresh: Card) -> Card:
    data = {"card": fresh.number, **_said(fresh)}
    fresh.entry = record(by=by, kind=EntryKind.CARD_ISSUED, person=fresh.person, data=data)
    fresh.save(force_insert=True)
    return fresh


def _put_in_place(by: Actor, old: Card, fresh: Card, reason: str) -> Card:
    data = {"old": old.number, "new": fresh.number, "reason": reason, **_said(fresh)}
    fresh.entry = record(by=by, kind=EntryKind.CARD_REPLACED, person=fresh.person, data=data)
    # The old card gives way first: a person has one current card at any moment, and the database holds us to it.
    old.replaced_on = by.today
    old.save(update_fields=["replaced_on"])
    fresh.save(force_insert=True)
    old.replaced_by = fresh
    old.save(update_fields=["replaced_by"])
    return fresh


def _said(card: Card) -> dict[str, object]:
    names = ("name", "issuer", "scopes", "language")
    return {name: getattr(card, name) for name in names} | {"until": card.expires_on}
