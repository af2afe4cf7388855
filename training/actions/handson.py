"""Supervised hands-on: opened by an evaluator with authority, filled value by value, signed once."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django.db import transaction

from training import facts
from training.actions.base import hold, record
from training.domain.authority import may_sign_off
from training.domain.checklist import Checklist, HandsOnResult
from training.domain.errors import BadInput, NotAllowed, Refused
from training.domain.qualification import Qualification, Step, StepKind
from training.domain.questions import store_measure
from training.domain.register import EntryKind, canonical
from training.domain.rules import CheckItem
from training.domain.text import storable
from training.domain.units import parse_measure
from training.models import Observation, Person, SignOff
from training.models.handson import last_failure
from training.models.rules import qualification_in_force, rule_book_in_force
from training.permissions import Actor, check_evaluator, check_same_company

YES, NO = "yes", "no"
LONGEST_VALUE = 60
LONGEST_REASON = 200


@dataclass(frozen=True)
class Setting:
    """Where and with what a hands-on is done."""

    happened_on: datetime.date
    place: str
    weather: str
    instrument: str
    lot: str
    language: str


@dataclass(frozen=True)
class Noted:
    """What the form sent for one item: values in order, or the reason why it does not apply."""

    values: Sequence[str] = ()
    reason: str = ""


def hands_on_step(qualification: Qualification) -> Step:
    step = qualification.first_of(StepKind.HANDS_ON)
    if step is None:
        raise Refused("handson.none_in_qualification")
    return step


@transaction.atomic
def start_sign_off(*, by: Actor, person: Person, scopes: Sequence[str], setting: Setting) -> SignOff:
    """Open the checklist for a person and scopes. Refused without authority that day, for oneself, out of order."""
    check_evaluator(by)
    check_same_company(by, person.company_id)
    if setting.happened_on > by.today:
        raise BadInput("register.future", field="happened_on", date=setting.happened_on)
    row = qualification_in_force(by.employer, by.today)
    parsed = facts.qualification(row)
    asked = parsed.scopes.check(scopes)
    _check_permit(by, person, asked, setting.happened_on, parsed)
    _check_order(person, row, setting.happened_on, parsed)
    book = rule_book_in_force(by.employer, setting.happened_on)
    Checklist.for_scopes(facts.rule_book(book), parsed.scopes.expand(asked))
    return SignOff.objects.create(
        person=person,
        evaluator=by.me,
        evaluator_user=by.account,
        qualification=row,
        rule_book=book,
        scopes=list(parsed.scopes.in_order(asked)),
        started_at=by.now,
        **vars(setting),
    )


def _check_permit(by: Actor, person: Person, scopes: frozenset[str], on: datetime.date, parsed: Qualification) -> None:
    assert by.person is not None
    permit = may_sign_off(
        facts.authorities_of(by.person),
        parsed.scopes,
        evaluator=by.person.pk,
        candidate=person.pk,
        scopes=scopes,
        on=on,
    )
    if not permit.allowed:
        raise Refused(permit.reasons[0])


def _check_order(person: Person, row: Any, on: datetime.date, parsed: Qualification) -> None:
    """The steps before it were done that day, and a try was left, counting also what failed on a later day."""
    step = hands_on_step(parsed)
    found = facts.standing_of(person, row, on)
    if not found.member:
        raise Refused("handson.not_member", date=on)
    for needed in step.needs:
        if not found.step(needed).done:
            raise Refused("handson.step_first", step=parsed.step(needed).title, date=on)
    own = facts.standing_of(person, row, max(on, last_failure(person) or on)).step(step.key)
    if own.tries_left == 0:
        raise Refused("handson.no_tries_left", used=own.tries_used)
    if own.next_try_on is not None and own.next_try_on > on:
        raise Refused("handson.wait", date=own.next_try_on)


def _check_writable(by: Actor, sign_off: SignOff) -> None:
    check_evaluator(by)
    check_same_company(by, sign_off.person.company_id)
    assert by.person is not None
    if sign_off.evaluator_id != by.person.pk:
        raise NotAllowed("handson.other_evaluator")
    if sign_off.signed_at is not None:
        raise Refused("handson.already_signed")


@transaction.atomic
def note(*, by: Actor, sign_off: SignOff, noted: Mapping[str, Noted]) -> None:
    """Keep what was seen or measured so far. Working notes: the signature is the register's entry."""
    row = SignOff.objects.select_for_update(of=("self",)).get(pk=sign_off.pk)
    _check_writable(by, row)
    checklist = facts.checklist_of(sign_off)
    for key, seen in noted.items():
        _replace(by, row, checklist, checklist.item(key), seen)


def _replace(by: Actor, row: SignOff, checklist: Checklist, item: CheckItem, seen: Noted) -> None:
    row.observations.filter(item=item.key).delete()
    reason = storable(seen.reason.strip()[:LONGEST_REASON])
    if reason:
        Observation.objects.create(sign_off=row, item=item.key, reason=reason, saved_at=by.now)
        return
    for repetition, typed in enumerate(seen.values[: item.repeat], start=1):
        text = storable(typed.strip()[:LONGEST_VALUE])
        if text:
            kept = read_value(checklist, item, text, row.language)
            Observation.objects.create(
                sign_off=row, item=item.key, repetition=repetition, typed=text, kept=kept, saved_at=by.now
            )


def read_value(checklist: Checklist, item: CheckItem, text: str, language: str) -> str:
    """A typed value as it is kept: `yes`, `1`, `3/2 in`; empty when it cannot be read."""
    if item.kind == "yes_no":
        return text if text in (YES, NO) else ""
    if item.kind == "rating":
        return text if text in ("0", "1", "2") else ""
    rule = checklist.limit(item)
    if rule is None:
        return ""
    try:
        return store_measure(parse_measure(text, rule.unit, language))
    except BadInput:
        return ""


@transaction.atomic
def sign(*, by: Actor, sign_off: SignOff, remark: str = "") -> SignOff:
    """Sign: the result is fixed, for passed, failed or stopped alike. A second signature changes nothing."""
    SignOff.objects.select_for_update(of=("self",)).get(pk=sign_off.pk)
    row = SignOff.objects.with_all().get(pk=sign_off.pk)
    if row.signed_at is not None and by.person is not None and row.evaluator_id == by.person.pk:
        return row
    _check_writable(by, row)
    parsed = facts.qualification(row.qualification)
    _check_permit(by, row.person, frozenset(row.scopes), row.happened_on, parsed)
    _check_order(hold(row.person), row.qualification, row.happened_on, parsed)
    result = judged(row, parsed)
    row.signed_at, row.result, row.note = by.now, result.result, remark[:2000]
    row.save(update_fields=["signed_at", "result", "note"])
    record(
        by=by,
        kind=EntryKind.SIGN_OFF_SIGNED,
        person=row.person,
        happened_on=row.happened_on,
        language=row.language,
        data=_signed(row, result, parsed),
    )
    return row


def judged(sign_off: SignOff, parsed: Qualification) -> HandsOnResult:
    """What the hands-on comes to with the values noted so far; Refused while something is open."""
    checklist = facts.checklist_of(sign_off)
    share = Fraction(hands_on_step(parsed).pass_share or 1)
    return checklist.judge(facts.observations_of(sign_off, checklist), share)


def _signed(row: SignOff, result: HandsOnResult, parsed: Qualification) -> dict[str, Any]:
    return {
        "sign_off": row.pk,
        "qualification": parsed.key,
        "result": result.result,
        "scopes": list(parsed.scopes.in_order(result.scopes)),
        "asked": list(row.scopes),
        "evaluator": row.evaluator_id,
        "evaluator_user": row.evaluator_user_id,
        "rule_book": row.rule_book.book.slug,
        "revision": row.rule_book.number,
        "language": row.language,
        "place": row.place,
        "weather": row.weather,
        "instrument": row.instrument,
        "lot": row.lot,
        "observations": observations_digest(row),
    }


@transaction.atomic
def discard(*, by: Actor, sign_off: SignOff) -> None:
    """Throw working notes away before they were signed; nothing of them was in the register."""
    row = SignOff.objects.select_for_update(of=("self",)).get(pk=sign_off.pk)
    _check_writable(by, row)
    row.delete()


def observations_digest(sign_off: SignOff) -> str:
    """A fingerprint of all values, so that the register shows when one was changed later."""
    rows = [[it.item, it.repetition, it.typed, it.kept, it.reason] for it in sign_off.observations.all()]
    return hashlib.sha256(canonical({"scopes": sign_off.scopes, "rows": sorted(rows)})).hexdigest()
