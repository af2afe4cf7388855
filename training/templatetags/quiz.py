"""Filters of the quiz pages."""

from __future__ import annotations

from collections.abc import Sequence

from django import template
from django.utils.safestring import SafeString, mark_safe

from training.domain.figures import Figure
from training.drawings.figures import figure
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
