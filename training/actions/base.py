"""The one door into the register: every action writes its entry here, in the action's own transaction."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from training.domain.errors import Refused
from training.domain.register import EntryKind, entry_hash, plain
from training.facts import body_of
from training.models import Company, Entry, Person, RegisterHead
from training.permissions import Actor
from training.sealing import seal


def record(
    *,
    by: Actor,
    kind: EntryKind,
    person: Person | None = None,
    happened_on: datetime.date | None = None,
    data: Mapping[str, Any] | None = None,
    voids: Entry | None = None,
    language: str | None = None,
    company: Company | None = None,
) -> Entry:
    """Write one entry at the end of the company's chain.

    `happened_on` defaults to the actor's day and may not lie in its future. Must run inside a transaction:
    an action and its entry stand or fall together.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("record() belongs inside the action's transaction")
    company = company or by.employer
    day = happened_on or by.today
    if day > by.today:
        raise Refused("register.future", date=day)
    head = _locked_head(company)
    entry = Entry(
        company=company,
        number=head.number + 1,
        kind=kind,
        person=person,
        by=by.user,
        by_name=by.name,
        happened_on=day,
        recorded_at=_not_before(by.now, company, head),
        language=language or by.language,
        data=plain(data or {}),
        voids=voids,
        previous=head.hash,
    )
    entry.hash = entry_hash(entry.previous, body_of(entry))
    entry.seal = seal(entry.hash)
    entry.save(force_insert=True)
    RegisterHead.objects.filter(pk=head.pk).update(number=entry.number, hash=entry.hash)
    return entry


def hold(person: Person) -> Person:
    """The person's row, held until commit: two clicks at once come one after the other."""
    return Person.objects.select_for_update(of=("self",)).get(pk=person.pk)


def hold_company(company: Company) -> None:
    """The company's register, held until commit: names and numbers that must be the only ones are given in turn."""
    _locked_head(company)


def _locked_head(company: Company) -> RegisterHead:
    """The end of the chain, held until commit so that two writers cannot both append to it."""
    RegisterHead.objects.get_or_create(company=company)
    return RegisterHead.objects.select_for_update().get(company=company)


def _not_before(now: datetime.datetime, company: Company, head: RegisterHead) -> datetime.datetime:
    """Recorded-at never runs backwards; a clock that did is refused, small skews are levelled."""
    last = Entry.objects.filter(company=company, number=head.number).values_list("recorded_at", flat=True).first()
    if last is None or now >= last:
        return now
    if last - now > datetime.timedelta(minutes=5):
        raise Refused("register.clock")
    return last
