"""A crew list on its way in: everything typed or chosen is kept until it is confirmed, and can be undone."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.models.people import Company, User


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
