"""Cards in the check of the register: printed words as the page says, and no card without a page."""

from __future__ import annotations

from collections.abc import Iterator

from certificates.models import Card
from training.domain.register import EntryKind
from training.models import Company, Entry
from training.verification import UNWRITTEN
from training.verified_proofs import ROW_CHECKS, differs


def _issued(row: Entry) -> Iterator[str]:
    number = row.data.get("card") or row.data.get("new")
    card = Card.objects.filter(company=row.company_id, person=row.person_id, number=number).first()
    if card is None:
        yield f"the card {number} is gone from the working table"
        return
    yield from differs("the page of the card", row.pk, card.entry_id)
    yield from differs("the day of issue", row.happened_on.isoformat(), card.issued_on)
    yield from differs("the last day", row.data["until"], card.expires_on)
    for name in ("name", "issuer", "scopes", "language"):
        yield from differs(name, row.data[name], getattr(card, name))


def _replaced(row: Entry) -> Iterator[str]:
    yield from _issued(row)
    old = Card.objects.filter(company=row.company_id, number=row.data["old"]).select_related("replaced_by").first()
    yield from differs("the card replaced", row.happened_on.isoformat(), old and old.replaced_on)
    yield from differs("the new card", row.data["new"], old and old.replaced_by and old.replaced_by.number)


def _unwritten(company: Company) -> Iterator[str]:
    for card in Card.objects.of(company).select_related("entry"):
        page = card.entry
        if page.company_id != company.pk or card.number not in (page.data.get("card"), page.data.get("new")):
            yield f"the working table has the card {card.number}"


def register_checks() -> None:
    """Called once, when the package is ready."""
    ROW_CHECKS[EntryKind.CARD_ISSUED] = _issued
    ROW_CHECKS[EntryKind.CARD_REPLACED] = _replaced
    if _unwritten not in UNWRITTEN:
        UNWRITTEN.append(_unwritten)
