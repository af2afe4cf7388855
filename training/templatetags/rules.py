"""Filters that show rules: their text with the numbers put in, and where the numbers come from."""

from __future__ import annotations

from fractions import Fraction

from django import template
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.domain.rules import Rule, RuleBook, Topic
from training.domain.validity import Validity
from training.texts import words

register = template.Library()


@register.filter
def topics(book: RuleBook) -> list[tuple[Topic, tuple[Rule, ...]]]:
    """The book's topics with their rules, in the book's order, empty topics left out."""
    return [(topic, book.by_topic[topic.key]) for topic in book.topics if book.by_topic[topic.key]]


@register.filter
def rule_text(rule: Rule) -> str:
    """The rule in words, numbers in the trade's unit with metric beside them."""
    return words(rule.say(metric=True))


@register.filter
def source_text(rule: Rule) -> str:
    """Where a rule's numbers come from."""
    source = rule.source
    if source is None:
        return ""
    text = {
        "law or standard": "{citation}",
        "product sheet": _("product sheet, revision {revision}, page {page}"),
        "common practice": _("common practice"),
        "company": _("company rule"),
    }[source.kind]
    return text.format(citation=source.citation, revision=source.revision, page=source.page)


@register.filter
def validity_text(validity: Validity) -> str:
    """How long a proof counts, in words: `24 months`, or that only events end it."""
    period = validity.period
    if period is None:
        return _("no fixed time; events end it")
    parts = []
    if period.months:
        parts.append(ngettext("%(n)s month", "%(n)s months", period.months) % {"n": period.months})
    if period.days:
        parts.append(ngettext("%(n)s day", "%(n)s days", period.days) % {"n": period.days})
    return " ".join(parts)


@register.filter
def chance(value: float | Fraction) -> str:
    """A chance as people read it: per cent, or one in so many when it is small."""
    share = float(value)
    if share <= 0:
        return _("never")
    if share < 0.01:
        return _("1 in %(n)s") % {"n": f"{round(1 / share):,}".replace(",", "\N{NARROW NO-BREAK SPACE}")}
    return f"{share * 100:.1f}\N{NO-BREAK SPACE}%" if share < 0.9995 else "> 99.9\N{NO-BREAK SPACE}%"


@register.filter
def number(value: float | Fraction, places: int = 1) -> str:
    """A number with so many decimal places."""
    return f"{float(value):.{places}f}"


@register.filter
def topic_title(book: RuleBook, key: str) -> str:
    """A topic's title in the reader's language."""
    return words(book.topic(key).title)
