"""Rows to the package's domain values; the only mapper here. Nothing in it decides anything."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse

from certificates import photos, qr
from certificates.domain.card import CardContent, ScopeWords, lay_out
from certificates.domain.verify import CardFacts, Verdict, verdict
from certificates.models import Card
from certificates.pdf import Printable
from certificates.texts import card_labels
from training.domain.phones import show_phone
from training.domain.scopes import ScopeBook
from training.domain.standing import Standing
from training.domain.standing import standing as standing_on
from training.facts import entries_of, qualification, standings_of
from training.models import Company, Person, QualificationRevision
from training.models.rules import qualification_in_force


@dataclass(frozen=True)
class Checked:
    """A verdict with the moment the record about its person last changed."""

    verdict: Verdict
    scopes: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    changed_at: datetime.datetime | None = None


def card_facts(card: Card, on: datetime.date) -> CardFacts:
    """What the verdict needs of a card; the person's memberships must be at hand."""
    return CardFacts(
        issued_on=card.issued_on,
        expires_on=card.expires_on,
        scopes=tuple(card.scopes),
        replaced=not card.is_current,
        employed=card.person.employed_on(on),
    )


def check(card: Card, on: datetime.date, language: str) -> Checked:
    """The card against the register as it is now: two queries, whatever the answer; scopes in the reader's words."""
    row = qualification_in_force(card.company, on)
    entries = entries_of(card.person)
    parsed = qualification(row)
    found = verdict(on=on, card=card_facts(card, on), standing=standing_on(parsed, entries, on))
    own = [entry.recorded_at for entry in entries if entry.person == card.person_id]
    return Checked(
        found,
        scope_titles(parsed.scopes, found.scopes, language),
        scope_titles(parsed.scopes, found.lost, language),
        max(own, default=None),
    )


def verdicts(cards: Iterable[Card], company: Company, on: datetime.date) -> dict[int, Verdict]:
    """Verdicts of many cards by primary key: one query for all standings."""
    cards = list(cards)
    if not cards:
        return {}
    held = standings_of([card.person for card in cards], company, qualification_in_force(company, on), on)
    return {card.pk: verdict(on=on, card=card_facts(card, on), standing=held[card.person_id]) for card in cards}


def scope_titles(book: ScopeBook, keys: Iterable[str], language: str) -> tuple[str, ...]:
    """Every one of the scopes by its full title: a stranger does not know which scope includes which."""
    return tuple(book.scopes[key].title[language] if key in book.scopes else key for key in book.in_order(set(keys)))


def scope_words(book: ScopeBook, keys: Iterable[str], language: str) -> tuple[ScopeWords, ...]:
    found = (book.scopes[key] for key in book.shortest(keys) if key in book.scopes)
    return tuple(ScopeWords(scope.title[language], scope.short[language]) for scope in found)


def content_of(card: Card) -> CardContent:
    """What stands on the card."""
    parsed = qualification(card.qualification)
    return CardContent(
        name=card.name,
        initials=card.person.initials,
        company=card.issuer,
        qualification=parsed.title[card.language],
        scopes=scope_words(parsed.scopes, card.scopes, card.language),
        issued_on=card.issued_on,
        expires_on=card.expires_on,
        number=card.number,
        language=card.language,
        labels=card_labels(card.language),
        check_place=place(reverse("certificates:check")),
        phone=show_phone(card.company.phone) if card.company.phone else "",
    )


def draft(person: Person, row: QualificationRevision, held: Standing, on: datetime.date, language: str) -> Card:
    """A card as it would be issued today, not saved; its number and secret are made only on saving."""
    return Card(
        company=person.company,
        person=person,
        qualification=row,
        name=person.full_name,
        issuer=person.company.name,
        scopes=list(qualification(row).scopes.in_order(held.held)),
        language=language,
        issued_on=on,
        expires_on=held.until,
    )


def printable(card: Card) -> Printable:
    """The card ready to draw."""
    symbol = qr.card_symbol(check_link(card))
    label = f"{card.name}, {card.shown}"
    return Printable(lay_out(content_of(card)), symbol, photos.inline(card.person), label)


def check_link(card: Card) -> str:
    """The address in the card's code."""
    return settings.SITE_URL + reverse("certificates:check_card", args=[card.secret])


def place(path: str) -> str:
    """An address as people type it: without its scheme and its last slash."""
    return (settings.SITE_URL + path).partition("://")[2].rstrip("/")
