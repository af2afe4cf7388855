"""The append-only, hash-chained book of everything that happened, one chain per company."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.domain.errors import NotFound
from training.domain.register import EntryKind
from training.models.people import Company, Person, User


class EntryQuerySet(models.QuerySet["Entry"]):
    def of(self, company: Company) -> EntryQuerySet:
        return self.filter(company=company)

    def about(self, person: Person) -> EntryQuerySet:
        """What standing needs for one person: their entries and the company-wide ones."""
        return self.filter(company_id=person.company_id).filter(models.Q(person=person) | models.Q(person=None))

    def about_all(self, company: Company, people: Iterable[Person]) -> EntryQuerySet:
        ids = [person.pk for person in people]
        return self.filter(company=company).filter(models.Q(person__in=ids) | models.Q(person=None))

    def bearing_on_standing(self) -> EntryQuerySet:
        return self.filter(kind__in=STANDING_KINDS)

    def newest_first(self) -> EntryQuerySet:
        return self.select_related("person", "by").order_by("-number")

    def in_order(self) -> EntryQuerySet:
        return self.order_by("company_id", "number")


class Entry(models.Model):
    """One thing that happened. Database triggers refuse change and deletion; a correction is a new entry."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="entries")
    number = models.PositiveIntegerField(_("page"))
    kind = models.CharField(_("what"), max_length=40, choices=[(kind.value, kind.value) for kind in EntryKind])
    person = models.ForeignKey(Person, models.PROTECT, null=True, related_name="entries")
    by = models.ForeignKey(User, models.PROTECT, null=True, related_name="entries")
    by_name = models.CharField(_("who"), max_length=120)
    happened_on = models.DateField(_("happened on"))
    recorded_at = models.DateTimeField(_("recorded at"))
    language = models.CharField(_("language"), max_length=8)
    data = models.JSONField(default=dict)
    voids = models.ForeignKey("self", models.PROTECT, null=True, related_name="voided_by")
    previous = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)
    seal = models.CharField(max_length=64)

    objects = EntryQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["company", "number"], name="entry_number_once")]
        indexes = [models.Index(fields=["company", "person", "kind"])]

    def __str__(self) -> str:
        return f"{self.number} {self.kind}"


class RegisterHead(models.Model):
    """The last page of a company's register, kept apart so that a torn-out end shows."""

    company = models.OneToOneField(Company, models.PROTECT, related_name="register_head", primary_key=True)
    number = models.PositiveIntegerField(default=0)
    hash = models.CharField(max_length=64, blank=True)


STANDING_KINDS = frozenset(
    {
        EntryKind.MEMBERSHIP_STARTED,
        EntryKind.MEMBERSHIP_ENDED,
        EntryKind.DOCUMENT_ISSUED,
        EntryKind.RULE_BOOK_ISSUED,
        EntryKind.REVISION_REQUIRED,
        EntryKind.READING_COMPLETED,
        EntryKind.SECTION_ACKNOWLEDGED,
        EntryKind.QUIZ_STARTED,
        EntryKind.QUIZ_MARKED,
        EntryKind.DELTA_QUIZ_MARKED,
        EntryKind.SIGN_OFF_SIGNED,
        EntryKind.GRANTED,
        EntryKind.RENEWED,
        EntryKind.WIDENED,
        EntryKind.NARROWED,
        EntryKind.SUSPENDED,
        EntryKind.RESTORED,
        EntryKind.WITHDRAWN,
        EntryKind.ENTRY_VOIDED,
    }
)


def asked_after(company: Company, book: str, revision: int) -> Entry | None:
    """The entry that says what a revision of a rule book asks of people, unless it was declared void."""
    rows = Entry.objects.of(company).filter(kind=EntryKind.REVISION_REQUIRED, voided_by__isnull=True)
    return rows.filter(data__book=book, data__revision=revision).order_by("-number").first()


def entries_about(person: Person) -> EntryQuerySet:
    """A person's own pages, newest first."""
    return Entry.objects.filter(company_id=person.company_id, person=person).newest_first()


def entries_of(company: Company) -> EntryQuerySet:
    return Entry.objects.of(company).newest_first()


def entry_of(company: Company, number: int) -> Entry:
    """One page of the company's register by its number."""
    found = Entry.objects.of(company).newest_first().filter(number=number).first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def last_page_about(person: Person) -> int:
    """The number of the newest page about a person, 0 when there is none."""
    pages = Entry.objects.filter(company_id=person.company_id, person=person)
    return pages.order_by("-number").values_list("number", flat=True).first() or 0


def pages_of(company: Company, ids: Iterable[int]) -> dict[int, int]:
    """Page numbers of entries, by their id."""
    return dict(Entry.objects.of(company).filter(pk__in=list(ids)).values_list("pk", "number"))


def last_recorded_at(company: Company) -> datetime.datetime | None:
    """When the newest page was written, None for an empty register."""
    return Entry.objects.of(company).order_by("-number").values_list("recorded_at", flat=True).first()


def marking_of(person: Person, sitting: int) -> Entry:
    """The page on which a sitting was marked last: the one that no other page declares void."""
    kinds = (EntryKind.QUIZ_MARKED, EntryKind.DELTA_QUIZ_MARKED)
    pages = Entry.objects.filter(company_id=person.company_id, person=person, kind__in=kinds, data__sitting=sitting)
    found = pages.filter(voided_by__isnull=True).order_by("-number").first()
    if found is None:
        raise NotFound("access.not_found")
    return found
