"""Open a hands-on: for whom, for which scopes, where and with what."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.domain.scopes import ScopeBook
from training.forms.people import DayField
from training.forms.scopes import ScopesField
from training.models.people import LANGUAGES


class SignOffForm(forms.Form):
    """The setting of a hands-on; the checklist follows from the scopes."""

    scopes = ScopesField(label=_("Scopes to show today"))
    happened_on = DayField(label=_("Day of the hands-on"))
    place = forms.CharField(
        label=_("Place"), max_length=120, help_text=_("Address or mock-up, and which roof section.")
    )
    weather = forms.CharField(label=_("Weather"), max_length=120, help_text=_("Air temperature, wind, damp or dry."))
    instrument = forms.CharField(
        label=_("Measuring instruments"), max_length=120, help_text=_("Tape, scale, thermometer.")
    )
    fields: dict[str, Any]
    lot = forms.CharField(label=_("Product lot"), max_length=60)
    language = forms.ChoiceField(label=_("Language used"), choices=LANGUAGES)

    def __init__(self, *args: Any, book: ScopeBook, only: Collection[str], today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["scopes"].offer(book, only)

    def clean_happened_on(self) -> datetime.date:
        day = self.cleaned_data["happened_on"]
        if day > self.today:
            raise forms.ValidationError(_("This day has not come yet. Give the day of the hands-on."))
        return day


class SignForm(forms.Form):
    """The evaluator's signature."""

    remark = forms.CharField(
        label=_("Remark"), max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    confirm = forms.BooleanField(
        label=_("I watched this person myself. I measured these values. They are true."),
        error_messages={"required": _("Confirm this before you sign.")},
    )
