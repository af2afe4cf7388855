"""Issue revisions of a rule book and of a qualification; an issued one never changes."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from training import facts
from training.actions.base import hold_company, record
from training.domain import qualification as domain
from training.domain.blueprint import Blueprint
from training.domain.errors import BadInput
from training.domain.papers import draw
from training.domain.qualification import StepKind
from training.domain.register import EntryKind, fingerprint
from training.domain.rules import RuleBook as Book
from training.models import QualificationRevision, RuleBook, RuleBookRevision
from training.models.rules import qualification_in_force, rule_book_in_force
from training.permissions import Actor, check_officer


@transaction.atomic
def issue_rule_book(
    *, by: Actor, slug: str, content: Mapping[str, Any], effective_on: datetime.date
) -> RuleBookRevision:
    """The next revision of the company's book for one product. Raises BadInput naming the place at fault."""
    check_officer(by)
    book = Book.parse(content)
    hold_company(by.employer)
    row, _ = RuleBook.objects.get_or_create(company=by.employer, slug=slug, defaults={"product": book.product})
    revision = RuleBookRevision.objects.create(
        book=row,
        number=_next_number(row.revisions),
        effective_on=effective_on,
        issued_at=by.now,
        issued_by=by.user,
        content=dict(content),
    )
    data = {
        "book": slug,
        "revision": revision.number,
        "effective_on": effective_on,
        "content": fingerprint(revision.content),
    }
    record(by=by, kind=EntryKind.RULE_BOOK_ISSUED, data=data)
    return revision


@transaction.atomic
def issue_qualification(
    *, by: Actor, content: Mapping[str, Any], effective_on: datetime.date, reason: str = ""
) -> QualificationRevision:
    """The next revision of what can be held."""
    check_officer(by)
    parsed = domain.Qualification.parse(content)
    hold_company(by.employer)
    row = QualificationRevision.objects.create(
        company=by.employer,
        key=parsed.key,
        number=_next_number(QualificationRevision.objects.of(by.employer).filter(key=parsed.key)),
        effective_on=effective_on,
        content=dict(content),
    )
    data = {
        "qualification": parsed.key,
        "revision": row.number,
        "effective_on": effective_on,
        "content": fingerprint(row.content),
    }
    if reason:
        data["reason"] = reason
    record(by=by, kind=EntryKind.QUALIFICATION_ISSUED, data=data)
    return row


@transaction.atomic
def issue_quiz_plan(
    *, by: Actor, changes: Mapping[str, Any], effective_on: datetime.date, reason: str
) -> QualificationRevision:
    """The qualification's next revision with another quiz plan; refused when the book in force cannot fill it."""
    check_officer(by)
    if effective_on < by.today:
        raise BadInput("quiz_plan.past", field="effective_on")
    row = qualification_in_force(by.employer, by.today)
    book = facts.rule_book(rule_book_in_force(by.employer, by.today))
    draw(Blueprint.parse(changes["blueprint"]), book, "trial")
    steps = [step | changes if step["kind"] == StepKind.QUIZ else step for step in row.content["steps"]]
    return issue_qualification(by=by, content=row.content | {"steps": steps}, effective_on=effective_on, reason=reason)


def _next_number(rows: Any) -> int:
    last = rows.order_by("-number").values_list("number", flat=True).first()
    return (last or 0) + 1
