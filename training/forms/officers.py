"""Appoint another safety officer, and end an appointment."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from training.forms.people import DayField
from training.models.people import LANGUAGES


class OfficerForm(forms.Form):
    """A sign-in for someone who decides: their name is on every decision."""

    name = forms.CharField(label=_("Full name"), max_length=120)
    login = forms.CharField(
        label=_("Sign-in name"), max_length=60, help_text=_("What they will type, such as an e-mail address.")
    )
    email = forms.EmailField(label=_("E-mail"), required=False)
    language = forms.ChoiceField(label=_("Language"), choices=LANGUAGES)


class EndAppointmentForm(forms.Form):
    ends = DayField(label=_("Last day"))
