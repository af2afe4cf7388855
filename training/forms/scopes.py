"""Choosing scopes: boxes grouped by family, in the reader's language."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.domain.scopes import ScopeBook
from training.texts import words


class GroupedBoxes(forms.CheckboxSelectMultiple):
    """Check boxes, one group of them per family of scopes."""

    template_name = "training/widgets/grouped_boxes.html"


class ScopesField(forms.MultipleChoiceField):
    """Scope keys out of a scope book; `only` narrows the choice."""

    widget = GroupedBoxes

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", _("Scopes"))
        kwargs.setdefault("error_messages", {"required": _("Choose at least one scope.")})
        super().__init__(**kwargs)

    def offer(self, book: ScopeBook, only: Collection[str] | None = None) -> None:
        """The scopes on offer."""
        self.choices = [
            (words(family.title), [(s.key, words(s.title)) for s in family.scopes if only is None or s.key in only])
            for family in book.families
            if only is None or any(s.key in only for s in family.scopes)
        ]
