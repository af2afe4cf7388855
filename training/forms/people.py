"""People, crews and their dated ties, as the officer types them."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.core.files.base import ContentFile
from django.utils.translation import gettext_lazy as _

from training.domain.crewlist import Candidate
from training.domain.crewlist_match import Double, doubles_of
from training.domain.errors import BadInput
from training.domain.names import clean_name
from training.domain.phones import parse_phone
from training.facts import known_people
from training.models import Company, Crew, Person
from training.texts import say
from training.uploads import redraw_photo

PHOTO_SIZE = (480, 600)
OLDEST = datetime.date(1920, 1, 1)


class DayField(forms.DateField):
    """A day, picked or typed as 2027-03-04; the browser shows it the reader's way."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        super().__init__(widget=widget, input_formats=["%Y-%m-%d"], **kwargs)

    def clean(self, value: Any) -> datetime.date | None:
        day = super().clean(value)
        if day is not None and not OLDEST <= day <= datetime.date(2200, 1, 1):
            raise forms.ValidationError(_("This year cannot be right. Check the date."))
        return day


class PersonForm(forms.ModelForm):
    """What the record says about a person."""

    born = DayField(
        label=_("Date of birth"),
        required=False,
        help_text=_("Only to tell two people apart, and for age 18."),
    )

    class Meta:
        model = Person
        fields = ["given_names", "family_names", "phone", "language", "born", "employee_number", "email"]

    def __init__(self, *args: Any, company: Company, today: datetime.date, **kwargs: Any) -> None:
        self.company, self.today = company, today
        super().__init__(*args, **kwargs)

    def _checked_name(self, field: str) -> str:
        try:
            return clean_name(self.cleaned_data[field])
        except BadInput as error:
            raise forms.ValidationError(say(error.message)) from error

    def clean_given_names(self) -> str:
        return self._checked_name("given_names")

    def clean_family_names(self) -> str:
        return self._checked_name("family_names") if self.cleaned_data["family_names"] else ""

    def clean_phone(self) -> str:
        if not self.cleaned_data["phone"]:
            return ""
        try:
            return parse_phone(self.cleaned_data["phone"], self.company.region)
        except BadInput as error:
            raise forms.ValidationError(say(error.message)) from error

    def clean_born(self) -> datetime.date | None:
        born = self.cleaned_data["born"]
        if born and born >= self.today:
            raise forms.ValidationError(_("The date of birth must be in the past."))
        return born


class NewPersonForm(PersonForm):
    """A person and the first day of employment. Who may be in the record already is only added when said so."""

    fields: dict[str, Any]
    starts = DayField(label=_("Employed from"))
    crew = forms.ModelChoiceField(
        label=_("Crew"), queryset=Crew.objects.none(), required=False, empty_label=_("No crew yet")
    )
    another = forms.BooleanField(label=_("This is somebody else"), required=False)
    doubles: tuple[Double, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["crew"].queryset = Crew.objects.of(self.company)
        if not self.data.get("another"):
            self.fields["another"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        starts, born = data.get("starts"), data.get("born")
        if starts and born and born >= starts:
            self.add_error("starts", _("Employment cannot start before the date of birth."))
        if not data.get("another"):
            self._look_for_doubles(data)
        return data

    def _look_for_doubles(self, data: dict[str, Any]) -> None:
        """Somebody who may be in the record already is asked about, once everything else is in order."""
        if self.errors:
            return
        person = Candidate(
            given=data["given_names"],
            family=data["family_names"],
            phone=data["phone"],
            born=data["born"],
            number=data["employee_number"],
            email=data["email"],
        )
        self.doubles = doubles_of(person, known_people(self.company))
        if self.doubles:
            self.fields["another"].widget = forms.CheckboxInput()
            self.add_error("another", _("Somebody like this is in the record. Look below, then tick this to add them."))


class CrewForm(forms.Form):
    name = forms.CharField(label=_("Name of the crew"), max_length=60)


class CrewMoveForm(forms.Form):
    """Which crew, from which day."""

    fields: dict[str, Any]
    crew = forms.ModelChoiceField(label=_("Crew"), queryset=Crew.objects.none())
    starts = DayField(label=_("From"))

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["crew"].queryset = Crew.objects.of(company)


class EndForm(forms.Form):
    ends = DayField(label=_("Last day"))


class StartForm(forms.Form):
    starts = DayField(label=_("Employed from"))


class PhotoForm(forms.Form):
    """A photo, drawn again without its metadata (place, time, camera) and cut to the card's shape."""

    photo = forms.FileField(label=_("Photo"), help_text=_("JPEG, PNG or WebP, at most 10 MB. The face in the middle."))

    def clean_photo(self) -> ContentFile[bytes]:
        try:
            return redraw_photo(self.cleaned_data["photo"], PHOTO_SIZE)
        except BadInput as error:
            raise forms.ValidationError(say(error.message)) from error
