"""The evaluator's record of a supervised hands-on: a working copy until it is signed, then fixed."""

from __future__ import annotations

import datetime

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.domain.errors import NotFound
from training.models.people import LANGUAGES, Company, Person, User
from training.models.rules import QualificationRevision, RuleBookRevision


class SignOffQuerySet(models.QuerySet["SignOff"]):
    def of(self, company: Company) -> SignOffQuerySet:
        return self.filter(person__company=company)

    def open(self) -> SignOffQuerySet:
        return self.filter(signed_at__isnull=True)

    def signed(self) -> SignOffQuerySet:
        return self.filter(signed_at__isnull=False)

    def on_older(self, new: RuleBookRevision) -> SignOffQuerySet:
        """Signed on a revision of the same book before this one."""
        older = self.signed().filter(rule_book__book=new.book_id, rule_book__number__lt=new.number)
        return older.select_related("rule_book", "qualification")

    def by_evaluator(self, person: Person) -> SignOffQuerySet:
        return self.filter(evaluator=person).order_by("-started_at", "-pk")

    def with_all(self) -> SignOffQuerySet:
        found = self.select_related("person", "evaluator", "rule_book", "rule_book__book", "qualification")
        return found.prefetch_related("observations")


class SignOff(models.Model):
    """One supervised hands-on: who, for which scopes, where, with what, in which language."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="sign_offs")
    evaluator = models.ForeignKey(Person, models.PROTECT, related_name="evaluations")
    evaluator_user = models.ForeignKey(User, models.PROTECT, related_name="+")
    qualification = models.ForeignKey(QualificationRevision, models.PROTECT, related_name="+")
    rule_book = models.ForeignKey(RuleBookRevision, models.PROTECT, related_name="sign_offs")
    scopes = models.JSONField(_("scopes"), default=list)
    started_at = models.DateTimeField(_("started"))
    happened_on = models.DateField(_("day of the hands-on"))
    place = models.CharField(_("place"), max_length=120)
    weather = models.CharField(_("weather"), max_length=120)
    instrument = models.CharField(_("measuring instrument"), max_length=120)
    lot = models.CharField(_("product lot"), max_length=60)
    language = models.CharField(_("language used"), max_length=8, choices=LANGUAGES)
    note = models.TextField(_("note"), blank=True, max_length=2000)
    signed_at = models.DateTimeField(_("signed"), null=True, blank=True)
    result = models.CharField(_("result"), max_length=10, blank=True)

    objects = SignOffQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(signed_at__isnull=True, result="")
                | models.Q(signed_at__isnull=False, result__in=["passed", "failed", "stopped"]),
                name="signed_with_result",
            ),
            models.CheckConstraint(condition=~models.Q(person=models.F("evaluator")), name="never_himself"),
        ]


class Observation(models.Model):
    """What was seen or measured for one item, one repetition: as typed, and as read (empty when it cannot be)."""

    sign_off = models.ForeignKey(SignOff, models.CASCADE, related_name="observations")
    item = models.CharField(max_length=40)
    repetition = models.PositiveSmallIntegerField(default=1)
    typed = models.CharField(max_length=60, blank=True)
    kept = models.CharField(max_length=80, blank=True)
    reason = models.CharField(_("why it does not apply"), max_length=200, blank=True)
    saved_at = models.DateTimeField()

    class Meta:
        ordering = ["item", "repetition"]
        constraints = [models.UniqueConstraint(fields=["sign_off", "item", "repetition"], name="observation_once")]


def sign_off_of(company: Company, pk: int) -> SignOff:
    """One hands-on record of the company's people."""
    found = SignOff.objects.of(company).with_all().filter(pk=pk).first()
    if found is None:
        raise NotFound("access.not_found")
    return found


def last_failure(person: Person) -> datetime.date | None:
    """The day of the last hands-on that was signed and not passed."""
    failed = SignOff.objects.signed().filter(person=person).exclude(result="passed")
    return failed.order_by("-happened_on").values_list("happened_on", flat=True).first()


def sign_offs_by(evaluator: Person) -> SignOffQuerySet:
    return SignOff.objects.by_evaluator(evaluator).select_related("person")
