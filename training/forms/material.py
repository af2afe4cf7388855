"""Documents and their sections, as the officer types and uploads them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.core.validators import validate_slug
from django.utils.translation import gettext_lazy as _

from training.actions.material import FILES, TEXTS, Files
from training.domain.errors import BadInput
from training.forms.people import DayField
from training.models import Section
from training.texts import say
from training.uploads import check_pdf, redraw_picture

LONGEST_TEXT = 20_000
Checked = TypeVar("Checked")


def _title(label: Any, language: str) -> forms.CharField:
    return forms.CharField(label=label, max_length=120, widget=forms.TextInput(attrs={"lang": language}))


def _body(label: Any, language: str) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": 14, "lang": language})
    return forms.CharField(label=label, max_length=LONGEST_TEXT, required=False, widget=widget)


def _alt(label: Any, language: str) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": 3, "lang": language})
    return forms.CharField(label=label, max_length=300, required=False, widget=widget)


def _file(label: Any, accept: str, help_text: Any) -> forms.FileField:
    widget = forms.FileInput(attrs={"accept": accept})
    return forms.FileField(label=label, required=False, help_text=help_text, widget=widget)


PDF_HELP = _("At most 20 MB. Pages only: no scripts, no files inside.")


class DocumentForm(forms.Form):
    """A new document: its titles and the short name that the qualification uses."""

    title_en = _title(_("Title in English"), "en")
    title_es = _title(_("Title in Spanish"), "es")
    slug = forms.CharField(
        label=_("Short name"),
        max_length=40,
        validators=[validate_slug],
        help_text=_("Letters, digits and hyphens, such as safe-work. The qualification names the document by it."),
        widget=forms.TextInput(attrs={"autocapitalize": "none", "spellcheck": "false"}),
    )

    def clean_slug(self) -> str:
        return str(self.cleaned_data["slug"]).lower()


class SectionForm(forms.Form):
    """One section in both languages, its picture and its PDFs."""

    title_en = _title(_("Title in English"), "en")
    title_es = _title(_("Title in Spanish"), "es")
    body_en = _body(_("Text in English"), "en")
    body_es = _body(_("Text in Spanish"), "es")
    file_en = _file(_("PDF in English"), "application/pdf", PDF_HELP)
    file_es = _file(_("PDF in Spanish"), "application/pdf", PDF_HELP)
    drop_file_en = forms.BooleanField(label=_("Take the English PDF away"), required=False)
    drop_file_es = forms.BooleanField(label=_("Take the Spanish PDF away"), required=False)
    picture = _file(_("Picture"), "image/png,image/jpeg,image/webp", _("PNG, JPEG or WebP, at most 10 MB."))
    drop_picture = forms.BooleanField(label=_("Take the picture away"), required=False)
    alt_en = _alt(_("What the picture shows, in English"), "en")
    alt_es = _alt(_("What the picture shows, in Spanish"), "es")

    def __init__(self, *args: Any, section: Section | None = None, **kwargs: Any) -> None:
        self.section = section
        if section is not None:
            kwargs.setdefault("initial", {name: getattr(section, name) for name in TEXTS})
        super().__init__(*args, **kwargs)
        for name in FILES:
            if section is None or not getattr(section, name):
                del self.fields[f"drop_{name}"]

    def _checked(self, name: str, check: Callable[[Any], Checked]) -> Checked | None:
        upload: UploadedFile | None = self.cleaned_data[name]
        if not upload:
            return None
        try:
            return check(upload)
        except BadInput as error:
            raise forms.ValidationError(say(error.message)) from error

    def clean_picture(self) -> object:
        return self._checked("picture", redraw_picture)

    def clean_file_en(self) -> object:
        return self._checked("file_en", check_pdf)

    def clean_file_es(self) -> object:
        return self._checked("file_es", check_pdf)

    @property
    def details(self) -> dict[str, str]:
        """Titles, texts and picture descriptions, with one kind of line end."""
        return {name: self.cleaned_data[name].replace("\r\n", "\n") for name in TEXTS}

    @property
    def new_files(self) -> Files:
        """What was uploaded and what is to be taken away."""
        data = self.cleaned_data
        dropped = [name for name in FILES if data.get(f"drop_{name}") and not data[name]]
        return Files(data["picture"], data["file_en"], data["file_es"], dropped)


class IssueForm(forms.Form):
    """From when a revision counts, and by when people who read an older one must have read it."""

    effective_on = DayField(label=_("In force from"))
    due_on = DayField(
        label=_("To be read by"),
        required=False,
        help_text=_("People who read an older revision read this one by that day. Empty: at their next renewal."),
    )
