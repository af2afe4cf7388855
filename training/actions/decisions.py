"""Decisions by a named officer: nothing is granted, renewed or widened unless the three proofs are there."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from django.db import transaction

from training import facts
from training.actions.base import record
from training.domain.decision import Decider, check_decision
from training.domain.errors import Refused
from training.domain.register import EntryKind
from training.models import Entry, Person
from training.models.register import last_page_about
from training.models.rules import qualification_in_force
from training.permissions import Actor, check_officer, check_same_company


def decider(by: Actor) -> Decider:
    """Who decides, as the core knows them."""
    assert by.user is not None
    return Decider(user=by.user.pk, person=by.person.pk if by.person else None)


@transaction.atomic
def decide(
    *,
    by: Actor,
    person: Person,
    kind: EntryKind,
    scopes: Sequence[str] = (),
    reason: str = "",
    until: datetime.date | None = None,
    seen: int | None = None,
) -> Entry:
    """Take a decision today; the only way there is. Raises Refused that says what is missing.

    `seen` is the last register page about the person that the officer had before them: if a newer one
    exists, the decision is refused so that nobody decides on an old picture.
    """
    check_officer(by)
    check_same_company(by, person.company_id)
    Person.objects.select_for_update().get(pk=person.pk)
    if seen is not None and last_page_about(person) > seen:
        raise Refused("decision.changed_meanwhile")
    row = qualification_in_force(by.employer, by.today)
    parsed = facts.qualification(row)
    ruling = check_decision(
        kind,
        parsed,
        facts.standing_of(person, row, by.today),
        person=person.pk,
        decider=decider(by),
        on=by.today,
        scopes=scopes,
        until=until,
        reason=reason,
    )
    return record(by=by, kind=kind, person=person, data=ruling.data(parsed, decider(by), reason))
