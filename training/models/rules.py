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

    def issued(self) -> RevisionQuerySet:
        return self.filter(issued_at__isnull=False)

    def drafts(self) -> RevisionQuerySet:
        return self.filter(issued_at__isnull=True)

    def in_force(self, company: Company, day: datetime.date) -> RuleBookRevision | None:
        """The revision that counts on a day: the newest issued whose effective date has come."""
        found = self.issued().filter(book__company=company, effective_on__lte=day).select_related("book")
        return found.order_by("-effective_on", "-number").first()


def _both(name: str) -> models.Q:
    """Who did it and when stand together or not at all."""
    neither = models.Q(**{f"{name}_at__isnull": True, f"{name}_by__isnull": True})
    return neither | models.Q(**{f"{name}_at__isnull": False, f"{name}_by__isnull": False})


class RuleBookRevision(models.Model):
    """One state of a rule book: drafted, reviewed by somebody else, issued; `content` never changes after that.

    `confirmed` holds the numbers that a person confirmed as unusual, by rule; `editors` everybody who wrote in the
    draft, by user id.
    """

    book = models.ForeignKey(RuleBook, models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField(_("revision"))
    drafted_at = models.DateTimeField(_("drafted at"), null=True, blank=True)
    drafted_by = models.ForeignKey(User, models.PROTECT, null=True, blank=True, related_name="+")
    editors = models.JSONField(default=list)
    confirmed = models.JSONField(default=dict)
    reviewed_at = models.DateTimeField(_("reviewed at"), null=True, blank=True)
    reviewed_by = models.ForeignKey(User, models.PROTECT, null=True, blank=True, related_name="+")
    effective_on = models.DateField(_("in force from"), null=True, blank=True)
    issued_at = models.DateTimeField(_("issued at"), null=True, blank=True)
    issued_by = models.ForeignKey(User, models.PROTECT, null=True, blank=True, related_name="+")
    content = models.JSONField()

    objects = RevisionQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["book", "number"], name="rule_book_revision_once"),
            models.UniqueConstraint(
                fields=["book"], condition=models.Q(issued_at__isnull=True), name="one_rule_book_draft"
            ),
            models.CheckConstraint(condition=_both("drafted"), name="rule_book_draft_whole"),
            models.CheckConstraint(condition=_both("reviewed"), name="rule_book_review_whole"),
            models.CheckConstraint(condition=_both("issued"), name="rule_book_issue_whole"),
            models.CheckConstraint(
                condition=models.Q(issued_at__isnull=True, effective_on__isnull=True)
                | models.Q(issued_at__isnull=False, effective_on__isnull=False),
                name="rule_book_effective_when_issued",
            ),
            models.CheckConstraint(
                condition=models.Q(reviewed_by__isnull=True) | ~models.Q(reviewed_by=models.F("drafted_by")),
                name="rule_book_reviewed_by_another",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.book} {self.number}"

    @property
    def is_draft(self) -> bool:
        return self.issued_at is None


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
    """Issued revisions, newest first within each book."""
    return RuleBookRevision.objects.of(company).issued()


def rule_book_drafts_of(company: Company) -> RevisionQuerySet:
    """At most one draft of each book."""
    return RuleBookRevision.objects.of(company).drafts().select_related("drafted_by", "reviewed_by")


def rule_book_revision_of(company: Company, pk: int) -> RuleBookRevision:
    """One revision of the company's books, draft or issued, or NotFound."""
    rows = RuleBookRevision.objects.of(company).filter(pk=pk)
    found = rows.select_related("drafted_by", "reviewed_by", "issued_by").first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def revision_before(revision: RuleBookRevision) -> RuleBookRevision | None:
    """The last issued revision of the same book before this one."""
    rows = RuleBookRevision.objects.issued().filter(book=revision.book_id, number__lt=revision.number)
    return rows.select_related("book").order_by("-number").first()


def earlier_revisions(revision: RuleBookRevision) -> models.QuerySet[RuleBookRevision]:
    """Issued revisions of the same book before this one, newest first."""
    found = RuleBookRevision.objects.filter(book_id=revision.book_id, number__lt=revision.number)
    return found.filter(issued_at__isnull=False).select_related("book").order_by("-number")
