"""Evaluators: dated authority to sign off hands-on work for named scopes."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from django.db import transaction

from training.actions.base import hold, record
from training.domain.errors import BadInput, Refused
from training.domain.register import EntryKind
from training.models import Authority, Entry, Person
from training.permissions import Actor, check_officer, check_same_company


@transaction.atomic
def grant_authority(
    *,
    by: Actor,
    person: Person,
    scopes: Sequence[str],
    starts: datetime.date,
    ends: datetime.date | None = None,
    basis: str,
) -> Authority:
    """A person may evaluate for these scopes from `starts` to `ends`; `basis` says why they are fit to."""
    check_officer(by)
    check_same_company(by, person.company_id)
    if not scopes:
        raise BadInput("authority.no_scopes", field="scopes")
    if ends is not None and ends < starts:
        raise BadInput("authority.ends_before_start", field="ends", date=starts)
    hold(person)
    given = {"company": by.employer, "person": person, "scopes": sorted(scopes), "starts": starts, "ends": ends}
    same = Authority.objects.filter(**given, basis=basis).first()
    if same is not None:  # sent twice
        return same
    authority = Authority.objects.create(**given, basis=basis)
    data = {
        "authority": authority.pk,
        "scopes": authority.scopes,
        "starts": starts.isoformat(),
        "ends": ends.isoformat() if ends else None,
        "basis": basis,
    }
    record(by=by, kind=EntryKind.AUTHORITY_GRANTED, person=person, happened_on=min(starts, by.today), data=data)
    return authority


@transaction.atomic
def end_authority(*, by: Actor, authority: Authority, ends: datetime.date, reason: str) -> Entry:
    """Authority ends after the day `ends`; what was signed before stays signed."""
    check_officer(by)
    check_same_company(by, authority.company_id)
    row = Authority.objects.select_for_update().get(pk=authority.pk)
    if row.ends is not None and row.ends <= ends:
        raise Refused("authority.already_ended", date=row.ends)
    if ends < row.starts:
        raise BadInput("authority.ends_before_start", field="ends", date=row.starts)
    row.ends = ends
    row.save()
    data = {"authority": row.pk, "ends": ends.isoformat(), "reason": reason}
    return record(by=by, kind=EntryKind.AUTHORITY_ENDED, person=row.person, happened_on=min(ends, by.today), data=data)
