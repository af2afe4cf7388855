"""Sentences for the core's message keys, in the reader's language; the only place where keys become words."""

import datetime
from collections.abc import Mapping

from django.utils import formats, timezone
from django.utils.functional import Promise
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from training.domain.messages import Message

TEXTS: dict[str, Promise | str] = {
    # access
    "access.officer_only": _("Only a safety officer can do this. Ask yours."),
    "access.evaluator_only": _("Only an evaluator with authority today can do this."),
    "access.person_only": _("This page is for people on a crew. Sign in as yourself."),
    "access.own_only": _("You can only see your own record."),
    "access.not_found": _("There is nothing here."),
    "access.no_company": _("Your sign-in is not tied to a company today. Ask your safety officer."),
    # register
    "register.future": _("%(date)s is in the future. Give the day it happened."),
    "register.clock": _("The clock went back. Set this machine's clock, then try again."),
}


def register_texts(texts: Mapping[str, Promise | str]) -> None:
    """Add the sentences of another package; a key may be given once."""
    twice = TEXTS.keys() & texts.keys()
    if twice:
        raise ValueError(f"message keys given twice: {sorted(twice)}")
    TEXTS.update(texts)


def say(message: Message) -> str:
    """The sentence for a message, in the active language."""
    text = TEXTS[message.key]
    return str(text) % {name: show(value) for name, value in message.values.items()}


def show(value: object) -> str:
    """A value as people read it: dates with the month in words, lists joined, messages said."""
    match value:
        case Message():
            return say(value)
        case datetime.datetime():
            return f"{day(timezone.localtime(value).date())} {timezone.localtime(value):%H:%M}"
        case datetime.date():
            return day(value)
        case list() | tuple() | set() | frozenset():
            return ", ".join(show(item) for item in value)
        case dict() if {"en", "es"} <= value.keys():
            return str(value.get(language(), value["en"]))
        case _:
            return str(value)


def day(value: datetime.date) -> str:
    """4 Mar 2027 / 4 mar 2027: never all numbers, which two countries read two ways."""
    return formats.date_format(value, "j M Y")


def language() -> str:
    """The active language's base code: `en` or `es`."""
    return (get_language() or "en").split("-")[0]


def words(both: Mapping[str, str]) -> str:
    """The reader's language out of a text kept in both."""
    return both.get(language()) or both["en"]
