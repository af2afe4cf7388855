"""A decision about a person's qualification."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.domain.register import EntryKind
from training.domain.scopes import ScopeBook
from training.forms.people import DayField
from training.forms.scopes import ScopesField

WITH_SCOPES = {
    EntryKind.GRANTED,
    EntryKind.RENEWED,
    EntryKind.WIDENED,
    EntryKind.NARROWED,
    EntryKind.SUSPENDED,
    EntryKind.RESTORED,
}
WITH_REASON = {EntryKind.NARROWED, EntryKind.SUSPENDED, EntryKind.WITHDRAWN}
WITH_UNTIL = {EntryKind.GRANTED, EntryKind.RENEWED}
ALL_BEFOREHAND = {EntryKind.GRANTED, EntryKind.RENEWED, EntryKind.WIDENED}
NONE_IS_ALL = {EntryKind.SUSPENDED, EntryKind.RESTORED}


class DecisionForm(forms.Form):
    """Fields that this kind of decision needs, and no others."""

    fields: dict[str, Any]
    scopes = ScopesField()
    until = DayField(label=_("Last valid day"), required=False, help_text=_("Empty: the longest the proofs allow."))
    reason = forms.CharField(label=_("Reason"), max_length=500, widget=forms.Textarea(attrs={"rows": 2}))
    seen = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, kind: EntryKind, book: ScopeBook, choices: Collection[str], seen: int, **kwargs: Any
    ) -> None:
        chosen = list(choices) if kind in ALL_BEFOREHAND else []
        kwargs |= {"initial": {"seen": seen, "scopes": chosen}, "auto_id": f"{kind}_%s"}
        super().__init__(*args, **kwargs)
        self.fields["scopes"].offer(book, choices)
        if kind in NONE_IS_ALL:
            self.fields["scopes"].required = False
            self.fields["scopes"].help_text = _("Choose none to mean all.")
        self.fields["reason"].required = kind in WITH_REASON
        for name, kinds in (("scopes", WITH_SCOPES), ("until", WITH_UNTIL)):
            if kind not in kinds:
                del self.fields[name]
