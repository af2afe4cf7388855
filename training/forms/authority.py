"""Give and end authority to evaluate."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.domain.scopes import ScopeBook
from training.forms.people import DayField
from training.forms.scopes import ScopesField
from training.models import Company
from training.models.people import Person, people_of


class AuthorityForm(forms.Form):
    """Who may evaluate, for what, from when to when, and why they are fit to."""

    fields: dict[str, Any]
    person = forms.ModelChoiceField(label=_("Person"), queryset=Person.objects.none())
    scopes = ScopesField()
    starts = DayField(label=_("From"))
    ends = DayField(label=_("Last day"), required=False, help_text=_("A year or two is usual. It can be given again."))
    basis = forms.CharField(
        label=_("Why this person may evaluate"),
        max_length=300,
        help_text=_("Years on the gun, squares set, who trained them to judge."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, company: Company, today: datetime.date, book: ScopeBook, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = people_of(company).employed_on(today).by_name()
        self.fields["scopes"].offer(book)


class EndAuthorityForm(forms.Form):
    ends = DayField(label=_("Last day"))
    reason = forms.CharField(label=_("Reason"), max_length=300)
