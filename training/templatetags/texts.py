"""Filters that turn keys, dates, numbers and kinds into words in the reader's language."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping

from django import template

from training import texts
from training.domain.messages import Message
from training.domain.phones import show_phone
from training.domain.register import EntryKind
from training.domain.scopes import ScopeBook
from training.kinds import KIND_WORDS
from training.models.people import LANGUAGES

register = template.Library()


@register.filter
def say(message: Message | None) -> str:
    """The sentence of a message key."""
    return texts.say(message) if message is not None else ""


@register.filter
def day(value: datetime.date | datetime.datetime | str | None) -> str:
    """4 Mar 2027 / 4 mar 2027; takes an ISO text too, as the register keeps dates."""
    if not value:
        return ""
    if isinstance(value, str):
        try:
            value = datetime.date.fromisoformat(value)
        except ValueError:
            return str(value)
    return texts.show(value if not isinstance(value, datetime.datetime) else value.date())


@register.filter
def moment(value: datetime.datetime | None) -> str:
    """Day and time at the company's clock."""
    return texts.show(value) if value else ""


@register.filter
def words(both: Mapping[str, str] | None) -> str:
    """The reader's language out of a text kept in both."""
    return texts.words(both) if both else ""


@register.filter
def telephone(number: str) -> str:
    """A number as people write it."""
    return show_phone(number)


@register.filter
def language_word(code: str) -> str:
    """The name of a language, in itself."""
    return dict(LANGUAGES).get(code, code)


@register.filter
def double_word(reason: str) -> str:
    """Why a row of a crew list may repeat somebody."""
    return texts.say(Message(f"crewlist.double.{reason}"))


@register.filter
def kind_words(kind: str) -> str:
    """What a register entry says happened, in words."""
    return str(KIND_WORDS[EntryKind(kind)]) if kind in KIND_WORDS else kind


@register.filter
def scope_words(keys: Collection[str], book: ScopeBook) -> list[str]:
    """Short names of scopes, the ones that others include left out."""
    return [texts.words(word) for word in book.words(book.shortest(keys))]


@register.filter
def page_number(pages: Mapping[int, int], entry: int) -> int | None:
    """The register page of an entry."""
    return pages.get(entry)
