"""Sittings and answers: enough to show or mark any paper again years later."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.domain.errors import BadInput, NotFound
from training.models.people import LANGUAGES, Company, Person
from training.models.rules import QualificationRevision, RuleBookRevision


class SittingQuerySet(models.QuerySet["Sitting"]):
    def of(self, company: Company) -> SittingQuerySet:
        return self.filter(person__company=company)

    def by_person(self, person: Person) -> SittingQuerySet:
        return self.filter(person=person).order_by("-started_at", "-pk")

    def open(self) -> SittingQuerySet:
        return self.filter(submitted_at__isnull=True)

    def submitted(self) -> SittingQuerySet:
        return self.filter(submitted_at__isnull=False)

    def on_older(self, new: RuleBookRevision) -> SittingQuerySet:
        """Handed in on a revision of the same book before this one."""
        return self.submitted().filter(rule_book__book=new.book_id, rule_book__number__lt=new.number)

    def on_this_or_newer(self, new: RuleBookRevision) -> SittingQuerySet:
        """Handed in on this revision of the book or a later one."""
        return self.submitted().filter(rule_book__book=new.book_id, rule_book__number__gte=new.number)

    def with_all(self) -> SittingQuerySet:
        return self.select_related(
            "person", "rule_book", "rule_book__book", "qualification", "marked_again_on"
        ).prefetch_related("answers")


class Sitting(models.Model):
    """One person's attempt at one drawn paper. The paper is kept as (pattern, rule, seed), never as a key.

    `rules` are the changed rules that a short quiz asks about; empty for the whole quiz. `marked_again_on` is the
    corrected revision by which an officer had it marked again.
    """

    person = models.ForeignKey(Person, models.PROTECT, related_name="sittings")
    qualification = models.ForeignKey(QualificationRevision, models.PROTECT, related_name="+")
    rule_book = models.ForeignKey(RuleBookRevision, models.PROTECT, related_name="sittings")
    seed = models.CharField(max_length=64)
    paper = models.JSONField()
    rules = models.JSONField(default=list)
    language = models.CharField(_("language"), max_length=8, choices=LANGUAGES)
    started_at = models.DateTimeField(_("started"))
    submitted_at = models.DateTimeField(_("handed in"), null=True, blank=True)
    marked_again_on = models.ForeignKey(
        RuleBookRevision, models.PROTECT, null=True, blank=True, related_name="marked_again"
    )

    objects = SittingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person"], condition=models.Q(submitted_at__isnull=True), name="one_open_sitting"
            )
        ]


class Answer(models.Model):
    """The latest answer to one question; `value` is what the form sent, kept as typed."""

    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="answers")
    position = models.PositiveSmallIntegerField()
    value = models.JSONField()
    language = models.CharField(max_length=8, choices=LANGUAGES)
    saved_at = models.DateTimeField()
    problem: BadInput | None = None  # why the answer just sent was not taken, for its page

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["sitting", "position"], name="answer_once")]


def sitting_of(company: Company, pk: int) -> Sitting:
    """One sitting of the company's people."""
    found = Sitting.objects.of(company).with_all().filter(pk=pk).first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def sittings_by(person: Person) -> SittingQuerySet:
    return Sitting.objects.by_person(person)


def sittings_on(revision: RuleBookRevision) -> SittingQuerySet:
    """Sittings that were handed in on a revision of the rule book."""
    return Sitting.objects.filter(rule_book=revision).submitted().with_all().order_by("submitted_at", "pk")
