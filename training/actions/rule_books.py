"""A company's rule book from draft to issue: filled from the product's sheet, reviewed by a second person, then fixed.

A draft is a working copy and leaves no entry; issuing it does, and says who drafted and who reviewed it.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from django.db import transaction

from training.actions.base import hold_company, record
from training.content import starter_rule_book
from training.domain import rule_draft
from training.domain.errors import BadInput, Refused
from training.domain.register import EntryKind, fingerprint
from training.domain.rule_draft import Filling
from training.domain.rules import RuleBook as Book
from training.domain.units import Measure
from training.models import RuleBook, RuleBookRevision
from training.permissions import Actor, check_evaluator, check_officer, check_same_company


@transaction.atomic
def draft_rule_book(
    *, by: Actor, slug: str, product: str = "", content: Mapping[str, Any] | None = None
) -> RuleBookRevision:
    """The next revision of a book as a draft: from a file's `content`, else from the last revision, else the starter.

    A book that does not exist yet is made; without a file it needs the name of its `product`. Raises BadInput
    with every fault of a file that cannot be read.
    """
    check_officer(by)
    hold_company(by.employer)
    row = RuleBook.objects.select_for_update().filter(company=by.employer, slug=slug).first()
    last = row.revisions.order_by("-number").first() if row else None
    if last is not None and last.is_draft:
        raise Refused("rule_draft.open", revision=last.number)
    start = _start(content, last, product)
    name = str(Book.parse(start, draft=True).product)
    row = row or RuleBook.objects.create(company=by.employer, slug=slug, product=name)
    return RuleBookRevision.objects.create(
        book=row,
        number=last.number + 1 if last else 1,
        drafted_at=by.now,
        drafted_by=by.account,
        editors=[by.account.pk],
        confirmed=last.confirmed if last and content is None else {},
        content=start,
    )


def _start(content: Mapping[str, Any] | None, last: RuleBookRevision | None, product: str) -> dict[str, Any]:
    if content is not None:
        return dict(content)
    if last is not None:
        return dict(last.content)
    if not product.strip():
        raise BadInput("rule_draft.no_product", field="product")
    start = starter_rule_book()
    start["product"]["name"] = product.strip()
    return start


@transaction.atomic
def set_rule(
    *, by: Actor, revision: RuleBookRevision, key: str, filling: Filling, confirm: bool = False
) -> RuleBookRevision:
    """What the sheet says about one rule. A review made before no longer counts.

    Raises BadInput for numbers that cannot stand, and for unusual ones until somebody says `confirm`.
    """
    draft = _draft(by, revision)
    content = rule_draft.fill(draft.content, key, filling)
    rule = rule_draft.rule_of(content, key)
    if rule.unusual and not confirm and draft.confirmed.get(key) != rule_draft.numbers_of(rule):
        low, high = (_usual(part) for part in (rule.usual.low, rule.usual.high))
        raise BadInput("rule_draft.unusual", field="confirm", low=low, high=high)
    draft.confirmed.pop(key, None)
    if rule.unusual:
        draft.confirmed[key] = rule_draft.numbers_of(rule)
    return _changed(by, draft, content)


def _usual(limit: Measure | None) -> Measure | str:
    return limit if limit is not None else "…"


@transaction.atomic
def leave_out_rule(*, by: Actor, revision: RuleBookRevision, key: str) -> RuleBookRevision:
    """Take a rule that the product's sheet does not know out of the draft, with the acts held against it."""
    draft = _draft(by, revision)
    content = rule_draft.leave_out(draft.content, key)
    draft.confirmed.pop(key, None)
    return _changed(by, draft, content)


def _changed(by: Actor, draft: RuleBookRevision, content: dict[str, Any]) -> RuleBookRevision:
    draft.content = content
    draft.editors = sorted({*draft.editors, by.account.pk})
    draft.drafted_at, draft.drafted_by = by.now, by.account
    draft.reviewed_at = draft.reviewed_by = None
    draft.save()
    return draft


@transaction.atomic
def review_draft(*, by: Actor, revision: RuleBookRevision) -> RuleBookRevision:
    """A second person has held the draft against the sheet: another officer, or an evaluator."""
    draft = _locked(by, revision)
    if not by.is_officer:
        check_evaluator(by)
    rule_draft.check_reviewer(by.account.pk, draft.editors)
    rule_draft.check_whole(draft.content, draft.confirmed)
    draft.reviewed_at, draft.reviewed_by = by.now, by.account
    draft.save()
    return draft


@transaction.atomic
def issue_draft(*, by: Actor, revision: RuleBookRevision, effective_on: datetime.date) -> RuleBookRevision:
    """Fix a reviewed draft for good; it counts from `effective_on`."""
    draft = _draft(by, revision)
    book = rule_draft.check_whole(draft.content, draft.confirmed)
    if draft.reviewed_at is None:
        raise Refused("rule_draft.not_reviewed")
    before = draft.book.revisions.filter(issued_at__isnull=False).order_by("-number").first()
    if before is not None and before.effective_on is not None and effective_on < before.effective_on:
        raise BadInput("rule_draft.effective_before_last", field="effective_on", date=before.effective_on)
    draft.effective_on, draft.issued_at, draft.issued_by = effective_on, by.now, by.account
    draft.save()
    RuleBook.objects.filter(pk=draft.book_id).update(product=book.product)
    record(by=by, kind=EntryKind.RULE_BOOK_ISSUED, data=_issued(draft))
    return draft


def _issued(draft: RuleBookRevision) -> dict[str, Any]:
    return {
        "book": draft.book.slug,
        "revision": draft.number,
        "effective_on": draft.effective_on,
        "drafted_by": draft.drafted_by_id,
        "reviewed_by": draft.reviewed_by_id,
        "reviewed_at": draft.reviewed_at,
        "confirmed": draft.confirmed,
        "content": fingerprint(draft.content),
    }


@transaction.atomic
def discard_draft(*, by: Actor, revision: RuleBookRevision) -> None:
    """Throw a draft away, and the book with it when nothing of it was ever issued."""
    draft = _draft(by, revision)
    book = draft.book
    draft.delete()
    if not book.revisions.exists():
        book.delete()


def _draft(by: Actor, revision: RuleBookRevision) -> RuleBookRevision:
    """The draft, held until commit, if the actor may change it."""
    check_officer(by)
    return _locked(by, revision)


def _locked(by: Actor, revision: RuleBookRevision) -> RuleBookRevision:
    check_same_company(by, revision.book.company_id)
    rows = RuleBookRevision.objects.select_for_update(of=("self",)).select_related("book")
    row = rows.get(pk=revision.pk)
    if not row.is_draft:
        raise Refused("rule_draft.issued", revision=row.number)
    return row
