"""A company's rule book for one adhesive, in revisions; and what can be held, as data in revisions."""

from __future__ import annotations

import datetime

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.domain.errors import NotFound, Refused
from training.models.people import Company, User


class RuleBook(models.Model):
    """One adhesive product's numbers and practices, for one company."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="rule_books")
    slug = models.SlugField(_("short name"), max_length=40)
    product = models.CharField(_("product"), max_length=80)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["company", "slug"], name="rule_book_slug_once")]

    def __str__(self) -> str:
        return self.product


class RevisionQuerySet(models.QuerySet["RuleBookRevision"]):
    def of(self, company: Company) -> RevisionQuerySet:
        return self.filter(book__company=company).select_related("book").order_by("book_id", "-number")

    def in_force(self, company: Company, day: datetime.date) -> RuleBookRevision | None:
        """The revision that counts on a day: the newest whose effective date has come."""
        found = self.filter(book__company=company, effective_on__lte=day).select_related("book")
        return found.order_by("-effective_on", "-number").first()


class RuleBookRevision(models.Model):
    """One issued state of a rule book; `content` is the whole book as data and never changes after issue."""

    book = models.ForeignKey(RuleBook, models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField(_("revision"))
    effective_on = models.DateField(_("in force from"))
    issued_at = models.DateTimeField(_("issued at"))
    issued_by = models.ForeignKey(User, models.PROTECT, null=True, related_name="+")
    content = models.JSONField()

    objects = RevisionQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["book", "number"], name="rule_book_revision_once")]

    def __str__(self) -> str:
        return f"{self.book} {self.number}"


class QualificationQuerySet(models.QuerySet["QualificationRevision"]):
    def of(self, company: Company) -> QualificationQuerySet:
        return self.filter(company=company).order_by("key", "-number")

    def in_force(self, company: Company, day: datetime.date) -> QualificationRevision | None:
        found = self.filter(company=company, effective_on__lte=day)
        return found.order_by("-effective_on", "-number").first()


class QualificationRevision(models.Model):
    """What can be held: its steps, their validity and order, its scopes; all of it data."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="qualifications")
    key = models.SlugField(max_length=40)
    number = models.PositiveSmallIntegerField(_("revision"))
    effective_on = models.DateField(_("in force from"))
    content = models.JSONField()

    objects = QualificationQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["company", "key", "number"], name="qualification_revision_once")]

    def __str__(self) -> str:
        return f"{self.key} {self.number}"


def qualification_in_force(company: Company, day: datetime.date) -> QualificationRevision:
    """What can be held on a day; a company without one is told to set it up."""
    found = QualificationRevision.objects.in_force(company, day)
    if found is None:
        raise Refused("qualification.none_in_force", date=day)
    return found


def rule_book_in_force(company: Company, day: datetime.date) -> RuleBookRevision:
    """The rule book that counts on a day; without one there is no quiz and no checklist."""
    found = RuleBookRevision.objects.in_force(company, day)
    if found is None:
        raise Refused("rule_book.none_in_force", date=day)
    return found


def rule_books_of(company: Company) -> RevisionQuerySet:
    return RuleBookRevision.objects.of(company)


def rule_book_revision_of(company: Company, pk: int) -> RuleBookRevision:
    found = RuleBookRevision.objects.of(company).filter(pk=pk).first()
    if found is None:
        raise NotFound("access.not_found")
    return found
