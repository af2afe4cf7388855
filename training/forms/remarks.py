"""Which sittings are marked again, and why."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


class RemarkForm(forms.Form):
    """The sittings whose result changes are ticked by the officer, one by one."""

    sittings = forms.MultipleChoiceField(
        label=_("Sittings"), error_messages={"required": _("Tick at least one sitting.")}
    )
    reason = forms.CharField(
        label=_("What was wrong with the rule"), max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, offered: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sittings"].choices = [(str(pk), str(pk)) for pk in offered]  # type: ignore[attr-defined]

    def chosen(self) -> list[int]:
        return [int(pk) for pk in self.cleaned_data["sittings"]]
