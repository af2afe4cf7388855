"""What is typed about cards: a number at the gate, the reason for a new card."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from certificates.actions import LONGEST_REASON
from certificates.domain.number import LENGTH, read
from training.domain.messages import Message
from training.texts import say

REASONS: list[tuple[str, Promise | str]] = [
    ("lost", _("Lost")),
    ("stolen", _("Stolen")),
    ("damaged", _("Damaged or hard to read")),
    ("details", _("Name or photo has changed")),
    ("other", _("Other: say below")),
]


class NumberForm(forms.Form):
    """A card number as anybody may type it; a slip of the finger is told apart from an unknown card."""

    number = forms.CharField(
        label=_("Card number"),
        max_length=40,
        help_text=_("Ten letters and digits. Spaces, dashes and small letters do not matter."),
        error_messages={"required": _("Type the number that is printed on the card.")},
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "class": "code"}
        ),
    )

    def clean_number(self) -> str:
        typed = read(self.cleaned_data["number"])
        if typed.number is None:
            values = {"wanted": LENGTH, "typed": typed.length, "symbol": typed.symbol}
            raise forms.ValidationError(say(Message(f"number.{typed.fault}", values)))
        return typed.number


class ReplaceForm(forms.Form):
    """Why a card is replaced; the words go into the register."""

    why = forms.ChoiceField(label=_("Why"), choices=REASONS, widget=forms.RadioSelect, initial="lost")
    note = forms.CharField(label=_("In words"), max_length=LONGEST_REASON, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("why") == "other" and not data.get("note"):
            self.add_error("note", say(Message("card.reason_missing")))
        return data

    @property
    def reason(self) -> str:
        """The reason as the register keeps it: a fixed word, and what was added."""
        note = self.cleaned_data.get("note", "")
        return ": ".join(part for part in (self.cleaned_data["why"], note) if part)
