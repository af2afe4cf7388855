"""What the board shows: day, crew, scope."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.domain.scopes import ScopeBook
from training.forms.people import DayField
from training.models import Company, Crew
from training.models.people import crews_of
from training.texts import words


class BoardForm(forms.Form):
    """All optional: without a day it is tomorrow, without crew and scope it is everybody."""

    fields: dict[str, Any]
    on = DayField(label=_("Day"), required=False)
    crew = forms.ModelChoiceField(
        label=_("Crew"), queryset=Crew.objects.none(), required=False, empty_label=_("All crews")
    )
    scope = forms.ChoiceField(label=_("Scope"), required=False)

    def __init__(self, *args: Any, company: Company, book: ScopeBook, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["crew"].queryset = crews_of(company)
        groups = [(words(f.title), [(s.key, words(s.title)) for s in f.scopes]) for f in book.families]
        self.fields["scope"].choices = [("", _("All scopes")), *groups]

    def day(self, tomorrow: datetime.date) -> datetime.date:
        return self.cleaned_data.get("on") or tomorrow
