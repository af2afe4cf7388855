"""A rule book brought in as a file or started anew, a draft's dates, and what a change asks of people."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.domain.demands import What
from training.domain.impact import DocumentFact, Impact
from training.forms.people import DayField
from training.texts import words

LARGEST_BOOK = 2 * 1024 * 1024


def _parsed(text: str) -> Any:
    """The values of a JSON file; raises ValueError for signs and numbers that no database keeps."""
    if "\\u0000" in text:
        raise ValueError("a NUL sign")
    content = json.loads(text, parse_constant=_not_a_number, object_pairs_hook=_each_once)
    json.dumps(content, ensure_ascii=False).encode()  # half a sign cannot be written
    return content


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object; raises ValueError for a name that stands in it twice, where one value would silently win."""
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name stands twice")
    return found


def _not_a_number(word: str) -> Any:
    raise ValueError(word)


class RuleBookForm(forms.Form):
    """One JSON file in the format headlap-rule-book/1."""

    slug = forms.SlugField(
        label=_("Short name of the book"), max_length=40, help_text=_("The same name makes the next revision.")
    )
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


class NewBookForm(forms.Form):
    """A book for another product, filled from the starter."""

    product = forms.CharField(label=_("Name of the product"), max_length=80)
    slug = forms.SlugField(
        label=_("Short name of the book"), max_length=40, help_text=_("Letters, digits and hyphens, such as foam-one.")
    )


class IssueBookForm(forms.Form):
    """From when a revision counts."""

    effective_on = DayField(label=_("In force from"))


WHAT_WORDS = {
    What.REREAD: _("Read again"),
    What.QUIZ: _("Short quiz on these rules"),
    What.FULL: _("Reading, quiz and hands-on again"),
}


class ImpactForm(forms.Form):
    """What each change asks of people, which documents are read again, and by when."""

    fields: dict[str, Any]
    due_on = DayField(label=_("To be done by"))
    documents = forms.MultipleChoiceField(
        label=_("Documents to read again"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Where reading is asked. None chosen means all of them."),
    )

    def __init__(self, *args: Any, lines: Sequence[Impact], documents: Sequence[DocumentFact], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["documents"].choices = [(one.slug, words(one.title)) for one in documents]
        self.asked = [line for line in lines if line.choices]
        for line in self.asked:
            choices = [("", _("Nothing")), *((str(what), WHAT_WORDS[what]) for what in line.choices)]
            self.fields[line.name] = forms.ChoiceField(
                label=_("Ask for"), choices=choices, required=False, initial=str(line.proposed or "")
            )

    @property
    def choices(self) -> dict[str, What | None]:
        """What was chosen, by the name of the change."""
        data = self.cleaned_data
        return {line.name: What(data[line.name]) if data[line.name] else None for line in self.asked}

    def field_of(self, line: Impact) -> forms.BoundField | None:
        """The choice that belongs to a change."""
        return self[line.name] if line.name in self.fields else None
