"""Filters of the quiz pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django import template
from django.utils.safestring import SafeString, mark_safe

from training.domain.figures import Figure
from training.domain.lint import Finding
from training.domain.questions import Question
from training.domain.text import Text
from training.drawings.figures import figure
from training.lint_texts import LINT_WORDS, PATTERN_WORDS
from training.texts import language, show

register = template.Library()


@register.filter
def at(items: Sequence[str], place: int) -> str:
    """The item at a place, nothing past the end."""
    return items[place] if place < len(items) else ""


@register.filter
def shown(value: object) -> str:
    """A value as people read it: a measure with its unit, a date with its month in words."""
    return show(value) if value is not None else ""


@register.filter
def drawn(asked: Figure) -> SafeString:
    """A question's drawing, spoken in the reader's language."""
    # The drawing escapes every text it is given; nothing else reaches it.
    return mark_safe(figure(asked, language()))


@register.filter
def in_language(both: Mapping[str, str], code: str) -> str:
    """A text in one named language, whatever the reader's is."""
    return both[code]


@register.filter
def key_words(asked: Question) -> Text | None:
    """The right answer in words. Only for pages whose reader may see the key."""
    return asked.said(asked.right)


@register.filter
def lint_words(finding: Finding) -> str:
    """What the linter asks of every question, for a finding against it."""
    return str(LINT_WORDS[finding.number])


@register.filter
def pattern_words(key: str) -> str:
    """What a kind of question asks of people."""
    return str(PATTERN_WORDS.get(key, key))
