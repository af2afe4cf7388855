"""A crew list on its way in: everything typed or chosen is kept until it is confirmed, and can be undone."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.domain.errors import NotFound
from training.models.people import Company, PersonQuerySet, User


class CrewImportQuerySet(models.QuerySet["CrewImport"]):
    def of(self, company: Company) -> CrewImportQuerySet:
        return self.filter(company=company).select_related("by").order_by("-uploaded_at", "-pk")


class CrewImport(models.Model):
    """One uploaded list: its cells, the columns as matched, the choices made, and what came of it."""

    company = models.ForeignKey(Company, models.PROTECT, related_name="imports")
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    file_name = models.CharField(_("file"), max_length=200)
    uploaded_at = models.DateTimeField(_("uploaded"))
    rows = models.JSONField()
    columns = models.JSONField(default=dict)
    choices = models.JSONField(default=dict)
    confirmed_at = models.DateTimeField(_("confirmed"), null=True, blank=True)
    undone_at = models.DateTimeField(_("undone"), null=True, blank=True)

    objects = CrewImportQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(undone_at__isnull=True) | models.Q(confirmed_at__isnull=False),
                name="undone_after_confirmed",
            )
        ]

    def __str__(self) -> str:
        return self.file_name

    def created(self) -> PersonQuerySet:
        """The people this list brought in, also after it was undone."""
        return PersonQuerySet(self.people.model).filter(source=self).by_name().with_ties()


def imports_of(company: Company) -> CrewImportQuerySet:
    """The company's lists, newest first, without their cells."""
    return CrewImport.objects.of(company).defer("rows", "columns", "choices")


def import_of(company: Company, pk: int) -> CrewImport:
    """One of the company's lists; anybody else's does not exist."""
    found = CrewImport.objects.of(company).filter(pk=pk).first()
    if found is None:
        raise NotFound("access.not_found")
    return found
