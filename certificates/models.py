"""Cards as issued, one row each, and how often an address has guessed wrong; named reads beside them."""

from __future__ import annotations

import base64
import datetime

from django.db import models
from django.db.models import F
from django.utils.translation import gettext_lazy as _

from certificates.domain.number import new_number, shown
from training.domain.errors import NotFound
from training.domain.register import EntryKind
from training.models import Company, Entry, Person, QualificationRevision
from training.models.people import LANGUAGES
from training.unguessable import random_bytes

SECRET_BYTES = 16  # OWASP ASVS 5.0 11.5.1: at least 128 random bits where guessing must be hopeless
HISTORY = 20


def new_secret() -> str:
    """The unguessable end of the card's own link: 22 characters that need no escaping in an address."""
    return base64.urlsafe_b64encode(random_bytes(SECRET_BYTES)).rstrip(b"=").decode("ascii")


def fresh_number() -> str:
    """A number no card has yet, as good as certainly; the database refuses a double."""
    return new_number(random_bytes)


class CardQuerySet(models.QuerySet["Card"]):
    def of(self, company: Company) -> CardQuerySet:
        found = self.filter(company=company).select_related("person", "company", "qualification", "replaced_by")
        return found.order_by("person__sort_key", "-pk")

    def current(self) -> CardQuerySet:
        """Cards that no other has taken the place of; whether they count today is another question."""
        return self.filter(replaced_on__isnull=True)

    def of_person(self, person: Person) -> CardQuerySet:
        return self.of(person.company).filter(person=person).order_by("-pk")

    def matching(self, text: str) -> CardQuerySet:
        """Cards by a part of the holder's name, or by their number as anyone may type it."""
        from certificates.domain.number import read
        from training.domain.names import fold

        number = read(text).number
        if number:
            return self.filter(number=number)
        found = self
        for word in fold(text).split()[:5]:
            found = found.filter(person__sort_key__contains=word)
        return found

    def for_check(self) -> CardQuerySet:
        """All a check needs beside the register, in two queries however many ties the person has."""
        return self.select_related("person", "company").prefetch_related("person__memberships")


class Card(models.Model):
    """One printed card. Its words never change; a new print with other words is a new card with a new number."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="cards")
    person = models.ForeignKey(Person, models.PROTECT, related_name="cards")
    qualification = models.ForeignKey(QualificationRevision, models.PROTECT, related_name="cards")
    number = models.CharField(_("card number"), max_length=10, unique=True, default=fresh_number)
    secret = models.CharField(max_length=32, unique=True, default=new_secret)
    name = models.CharField(_("name as printed"), max_length=125)
    issuer = models.CharField(_("issuer as printed"), max_length=80)
    scopes = models.JSONField(_("scopes"), default=list)
    language = models.CharField(_("language"), max_length=8, choices=LANGUAGES)
    issued_on = models.DateField(_("issued"))
    expires_on = models.DateField(_("valid to"), null=True, blank=True)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="+")
    replaced_on = models.DateField(_("replaced"), null=True, blank=True)
    replaced_by = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaces")

    objects = CardQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person"], condition=models.Q(replaced_on__isnull=True), name="one_current_card"
            ),
            models.CheckConstraint(
                condition=models.Q(expires_on__isnull=True) | models.Q(expires_on__gte=F("issued_on")),
                name="card_span_forward",
            ),
        ]
        indexes = [models.Index(fields=["company", "replaced_on"])]

    def __str__(self) -> str:
        return self.shown

    @property
    def shown(self) -> str:
        """The number as printed, in groups."""
        return shown(self.number)

    @property
    def is_current(self) -> bool:
        return self.replaced_on is None


class CheckMissQuerySet(models.QuerySet["CheckMiss"]):
    def count_in(self, address: str, window: datetime.datetime) -> int:
        row = self.filter(address=address, window=window).values_list("count", flat=True).first()
        return row or 0


class CheckMiss(models.Model):
    """Wrong guesses of card numbers by one network address in one stretch of time; the address is kept as a hash."""

    address = models.CharField(max_length=64)
    window = models.DateTimeField()
    count = models.PositiveIntegerField(default=0)

    objects = CheckMissQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["address", "window"], name="miss_window_once")]
        indexes = [models.Index(fields=["window"])]


def cards_of(company: Company) -> CardQuerySet:
    return Card.objects.of(company)


def card_of(company: Company | None, pk: int) -> Card:
    """One of the company's cards; anybody else's does not exist."""
    found = Card.objects.of(company).filter(pk=pk).first() if company else None
    if found is None:
        raise NotFound("access.not_found")
    return found


def cards_chosen(company: Company, pks: list[int]) -> list[Card]:
    """The chosen cards in the chosen order; one that is not the company's makes the whole choice unknown."""
    found = Card.objects.of(company).in_bulk(list(dict.fromkeys(pks)))
    if len(found) != len(set(pks)):
        raise NotFound("access.not_found")
    return [found[pk] for pk in dict.fromkeys(pks)]


def current_card_of(person: Person) -> Card | None:
    return Card.objects.of_person(person).current().first()


def cards_of_person(person: Person) -> CardQuerySet:
    return Card.objects.of_person(person)[:HISTORY]


def card_by_secret(secret: str) -> Card | None:
    return Card.objects.for_check().filter(secret=secret).first()


def card_by_number(number: str) -> Card | None:
    return Card.objects.for_check().filter(number=number).first()


def people_without_card(company: Company, day: datetime.date) -> models.QuerySet[Person]:
    """Employed people who were granted something and hold no current card; what they may do today is not looked at."""
    held = Card.objects.current().filter(person=models.OuterRef("pk"))
    granted = Entry.objects.filter(company=company, person=models.OuterRef("pk"), kind=EntryKind.GRANTED)
    people = Person.objects.of(company).employed_on(day).by_name()
    return people.filter(~models.Exists(held), models.Exists(granted))


def misses_in(address: str, window: datetime.datetime) -> int:
    return CheckMiss.objects.count_in(address, window)
