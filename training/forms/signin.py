"""Sign in with a code and a secret, and choose a new secret."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from django import forms
from django.contrib.auth import authenticate, password_validation
from django.utils.translation import gettext_lazy as _

from training.actions.access import SHORTEST_PASSWORD, SHORTEST_PIN
from training.models import User


class SignInForm(forms.Form):
    """The officer's sign-in name or the person code on the card, and the PIN or password."""

    username = forms.CharField(
        label=_("Your code"),
        max_length=60,
        help_text=_("The code on your slip or card, or your sign-in name."),
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label=_("PIN or password"),
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, request: Any = None, *args: Any, **kwargs: Any) -> None:
        self.request = request
        self.user: User | None = None
        super().__init__(*args, **kwargs)

    def clean_username(self) -> str:
        return str(self.cleaned_data["username"]).strip().lower()

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("username") and data.get("password"):
            self.user = authenticate(self.request, username=data["username"], password=data["password"])
            if self.user is None:
                raise forms.ValidationError(
                    _("The code and the PIN do not fit together. Try again, or ask your safety officer for a new PIN.")
                )
        return data


class SecretForm(forms.Form):
    """A new PIN for people on a crew, a password for staff."""

    secret = forms.CharField(
        max_length=128, strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "new-password"})
    )
    again = forms.CharField(
        label=_("Type it once more"),
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, user: User, *args: Any, is_pin: bool, **kwargs: Any) -> None:
        self.user, self.is_pin = user, is_pin
        super().__init__(*args, **kwargs)
        field = self.fields["secret"]
        field.label = _("New PIN") if is_pin else _("New password")
        field.help_text = (
            _("At least %(n)s digits. Not your birthday, not 123456.") % {"n": SHORTEST_PIN}
            if is_pin
            else _("At least %(n)s characters. A few words in a row are good.") % {"n": SHORTEST_PASSWORD}
        )
        if is_pin:
            for name in self.fields:
                self.fields[name].widget.attrs["inputmode"] = "numeric"

    def clean_secret(self) -> str:
        secret = str(self.cleaned_data["secret"])
        if self.is_pin:
            self._check_pin(secret)
        else:
            self._check_password(secret)
        if self.user.check_password(secret):  # the officer has seen the one on the slip
            raise forms.ValidationError(_("You have this one already. Choose another one."))
        return secret

    def _check_pin(self, secret: str) -> None:
        if not secret.isascii() or not secret.isdigit() or len(secret) < SHORTEST_PIN:
            raise forms.ValidationError(_("Use at least %(n)s digits and nothing else.") % {"n": SHORTEST_PIN})
        steps = {(int(b) - int(a)) % 10 for a, b in pairwise(secret)}
        if len(steps) == 1 or len(set(secret)) < 3:
            raise forms.ValidationError(_("This PIN is easy to guess. Choose another one."))

    def _check_password(self, secret: str) -> None:
        if len(secret) < SHORTEST_PASSWORD:
            raise forms.ValidationError(_("Use at least %(n)s characters.") % {"n": SHORTEST_PASSWORD})
        password_validation.validate_password(secret, self.user)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("secret") and data.get("again") and data["secret"] != data["again"]:
            self.add_error("again", _("The two are not the same. Type it once more."))
        return data
