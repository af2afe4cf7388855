"""The sample form of the style page: one field of each sort, some of them filled in wrongly."""

from django import forms
from django.utils.translation import gettext_lazy as _

BANDS = [("s1", _("Low slope")), ("s2", _("Middle slope")), ("s3", _("Steep slope"))]
PROFILES = [("low", _("Low profile")), ("high", _("High profile"))]


class SampleForm(forms.Form):
    """Fields as the other pages use them; nothing is ever saved."""

    name = forms.CharField(label=_("Name on the card"), help_text=_("As the person writes it, with every accent."))
    phone = forms.CharField(label=_("Telephone"), required=False)
    done_on = forms.DateField(label=_("Day of the work"), widget=forms.DateInput(attrs={"type": "date"}))
    slope = forms.ChoiceField(label=_("Slope"), choices=BANDS)
    profiles = forms.MultipleChoiceField(label=_("Tile profile"), choices=PROFILES, widget=forms.CheckboxSelectMultiple)
    seen = forms.BooleanField(label=_("I saw this work myself"))


def sample() -> SampleForm:
    """The form with two mistakes in it, so that errors can be looked at."""
    form = SampleForm({"name": "Ñíguez Świątek-Đặng", "slope": "s2", "profiles": ["low"], "done_on": ""})
    form.is_valid()
    return form
