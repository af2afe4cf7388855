"""One rule of a draft, filled from the product's sheet: its numbers, its words, and the page they stand on."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from training.domain.errors import BadInput
from training.domain.rule_draft import COMPANY, LAW, PRACTICE, SHEET, Filling
from training.domain.rules import PRACTICE as PRACTICES
from training.domain.rules import Operator, Rule, Source
from training.domain.text import Text
from training.domain.units import Measure, example, parse_measure, show
from training.texts import say

LONGEST_TEXT = 200
PARTS = ("value", "low", "high")
NUMBER_LABELS = {
    ("min", "value"): _("Lowest value allowed"),
    ("max", "value"): _("Highest value allowed"),
    ("exact", "value"): _("Value"),
    ("range", "low"): _("Lowest value allowed"),
    ("range", "high"): _("Highest value allowed"),
}
SOURCES = [
    (SHEET, _("The product's sheet")),
    (LAW, _("A law or standard")),
    (PRACTICE, _("Common practice")),
    (COMPANY, _("Our own company rule")),
]


class MeasureField(forms.CharField):
    """A number with its unit, as a roofer types it; empty is allowed in a draft."""

    def __init__(self, unit: str, **kwargs: Any) -> None:
        self.unit = unit
        hint = _("Write it like %(example)s.") % {"example": show(example(unit), language())}
        super().__init__(max_length=40, required=False, help_text=hint, **kwargs)

    def clean(self, value: Any) -> Measure | None:
        text = super().clean(value)
        try:
            return parse_measure(text, self.unit, language()) if text else None
        except BadInput as error:
            raise forms.ValidationError(say(error.message)) from error

    def prepare_value(self, value: Any) -> Any:
        return show(value, language()) if isinstance(value, Measure) else value


class RuleForm(forms.Form):
    """Everything that the sheet says about one rule."""

    fields: dict[str, Any]
    kind = forms.ChoiceField(label=_("Where it stands"), choices=SOURCES)
    revision = forms.CharField(label=_("Revision or date of the sheet"), max_length=40, required=False)
    page = forms.CharField(label=_("Page"), max_length=20, required=False)
    citation = forms.CharField(
        label=_("Law or standard, with its clause"),
        max_length=200,
        required=False,
        help_text=_("Only for a law or standard."),
    )
    confirm = forms.BooleanField(label=_("I looked again. The sheet says so."), required=False)

    def __init__(self, *args: Any, rule: Rule, last: Source | None, **kwargs: Any) -> None:
        self.rule = rule
        kwargs["initial"] = _source(rule.source or last)
        super().__init__(*args, **kwargs)
        own = {**_number_fields(rule), **_end_fields(rule), **_word_fields(rule)}
        self.fields = {**own, **self.fields}

    @property
    def asks_to_confirm(self) -> bool:
        """Is the number unusual, so that the page shows the box?"""
        return "confirm" in self.errors or self.rule.unusual or bool(self.data.get("confirm"))

    @property
    def shown(self) -> list[forms.BoundField]:
        """The fields in their order, the box only where it is needed."""
        return [field for field in self if field.name != "confirm" or self.asks_to_confirm]

    @property
    def filling(self) -> Filling:
        """What was typed, for the action."""
        data, rule = self.cleaned_data, self.rule
        source = {name: data[name].strip() for name in ("kind", *SOURCE_PARTS[data["kind"]])}
        numbers: dict[str, Measure | None] = {name: data[name] for name in PARTS if name in self.fields}
        ends = [data[name] for name in self.fields if name.startswith("bands_")]
        right = Text(data["right_en"], data["right_es"]) if rule.right is not None else None
        return Filling(source, numbers, ends, right)


SOURCE_PARTS: dict[str, tuple[str, ...]] = {
    SHEET: ("revision", "page"),
    LAW: ("citation",),
    PRACTICE: (),
    COMPANY: (),
}


def _source(source: Source | None) -> dict[str, str]:
    if source is None:
        return {"kind": SHEET}
    return {
        "kind": source.kind,
        "citation": source.citation,
        "revision": source.revision,
        "page": source.page,
    }


def _number_fields(rule: Rule) -> dict[str, forms.Field]:
    return {
        name: MeasureField(rule.unit, label=label, initial=getattr(rule, name))
        for (operator, name), label in NUMBER_LABELS.items()
        if rule.operator == operator
    }


def _end_fields(rule: Rule) -> dict[str, forms.Field]:
    """Where the first band starts, and where each band but the last ends."""
    if rule.operator is not Operator.BANDS:
        return {}
    first = rule.bands[0]
    found: dict[str, forms.Field] = {
        "bands_1_from": MeasureField(rule.by, label=_("Where the table starts"), initial=first.above)
    }
    for number, band in enumerate(rule.bands[:-1], 1):
        label = _("Up to where: %(what)s") % {"what": band.text[language()] if band.text else number}
        found[f"bands_{number}_upto"] = MeasureField(rule.by, label=label, initial=band.upto)
    return found


def _word_fields(rule: Rule) -> dict[str, forms.Field]:
    if rule.right is None or rule.operator not in PRACTICES:
        return {}
    labels = {"en": _("The right practice in English"), "es": _("The right practice in Spanish")}
    return {
        f"right_{code}": forms.CharField(
            label=label,
            max_length=LONGEST_TEXT,
            initial=rule.right[code],
            widget=forms.Textarea(attrs={"rows": 2, "lang": code}),
        )
        for code, label in labels.items()
    }


def language() -> str:
    """The reader's language, for numbers typed and shown."""
    return (get_language() or "en").split("-")[0]
