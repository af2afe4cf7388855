"""Bring in a rule book as a file."""

from __future__ import annotations

import json
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.forms.people import DayField

LARGEST_BOOK = 2 * 1024 * 1024


def _parsed(text: str) -> Any:
    """The values of a JSON file; raises ValueError for signs and numbers that no database keeps."""
    if "\\u0000" in text:
        raise ValueError("a NUL sign")
    content = json.loads(text, parse_constant=_not_a_number)
    json.dumps(content, ensure_ascii=False).encode()  # half a sign cannot be written
    return content


def _not_a_number(word: str) -> Any:
    raise ValueError(word)


class RuleBookForm(forms.Form):
    """One JSON file in the format headlap-rule-book/1, and the day from which it counts."""

    slug = forms.SlugField(
        label=_("Short name of the book"), max_length=40, help_text=_("The same name makes the next revision.")
    )
    effective_on = DayField(label=_("In force from"))
    file = forms.FileField(label=_("Rule book file"), help_text=_("A JSON file, at most 2 MB."))

    def clean_file(self) -> Any:
        upload = self.cleaned_data["file"]
        if upload.size > LARGEST_BOOK:
            raise forms.ValidationError(_("The file is larger than 2 MB. A rule book is smaller than that."))
        try:
            content = _parsed(upload.read().decode("utf-8-sig"))
        except (UnicodeDecodeError, ValueError, RecursionError) as error:
            raise forms.ValidationError(
                _("This file is not JSON. Export the book again and choose that file.")
            ) from error
        if not isinstance(content, dict):
            raise forms.ValidationError(_("This file holds no rule book. Choose another one."))
        return content
