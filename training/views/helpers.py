"""Small helpers that keep views short."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from django import forms

from training.domain.errors import BadInput, NotAllowed, NotFound, Refused
from training.texts import say

T = TypeVar("T")


def run(form: forms.BaseForm, act: Callable[[], T]) -> T | None:
    """Do it; a refusal becomes an error on the form, so that nothing typed is lost."""
    try:
        return act()
    except (NotAllowed, NotFound):
        raise
    except BadInput as error:
        form.add_error(error.field if error.field in form.fields else None, say(error.message))
    except Refused as error:
        form.add_error(None, say(error.message))
    return None
