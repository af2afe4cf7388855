"""Filters for drafts and changes of a rule book: blanks shown as blanks, and each change in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from django import template
from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy, pgettext_lazy

from training.domain.demands import What
from training.domain.impact import Impact
from training.domain.rule_diff import ADDED, REMOVED, Change, Changed, Subject
from training.domain.rule_draft import Gap, Need
from training.domain.rules import CheckItem, Rule
from training.domain.text import BLANK, LANGUAGES, Blanks, Text
from training.domain.unit_table import UNITS
from training.domain.units import Measure, show, stored_number
from training.forms.rules import WHAT_WORDS, ImpactForm
from training.texts import language, words

register = template.Library()
_ = gettext_lazy

NEED_WORDS: dict[Need, Promise] = {
    Need.VALUE: _("number missing"),
    Need.SOURCE: _("source missing"),
    Need.CONFIRM: _("unusual, not confirmed"),
}
FIELD_WORDS: dict[str, Promise] = {
    "added": pgettext_lazy("a rule", "new"),
    "removed": pgettext_lazy("a rule", "taken out"),
    "order": _("order"),
    "product": _("product"),
    "kind": _("kind of product"),
    "title": _("title"),
    "topic": _("topic"),
    "operator": _("kind of limit"),
    "quantity": _("what is measured"),
    "unit": _("unit"),
    "value": _("value"),
    "low": _("lowest value"),
    "high": _("highest value"),
    "bands": _("bands"),
    "by": _("unit that decides"),
    "by_quantity": _("what decides"),
    "tolerance": _("tolerance"),
    "applies": _("where it applies"),
    "text": _("text"),
    "why": _("why it matters"),
    "goes_wrong": _("what goes wrong"),
    "critical": _("critical"),
    "errors": _("common error"),
    "right": _("right practice"),
    "acts": _("acts in order"),
    "ask": _("question"),
    "numbers": _("further numbers"),
    "source": _("source"),
    "usual": _("usual range"),
    "group": _("group"),
    "act": _("act"),
    "type": _("how it is noted"),
    "rule": _("limit it is held against"),
    "repeat": _("how many readings"),
    "need": _("good ones needed"),
    "in_a_row": _("in a row"),
    "weight": _("weight"),
    "least": _("lowest rating that passes"),
    "scopes": _("scopes"),
}
LANGUAGE_WORDS = {"en": _("in English"), "es": _("in Spanish")}


@register.filter
def draft_text(rule: Rule, sentence: Text | None = None) -> str:
    """A rule in words; what is not filled yet shows as a blank."""
    return words(rule.say(sentence, metric=True))


@register.filter
def limit_words(rule: Rule) -> str:
    """The bare limit, the right practice, or how many bands."""
    if rule.right is not None:
        return words(rule.right)
    return words(rule.limit_text(metric=True))


@register.filter
def usual_words(rule: Rule) -> str:
    """The usual range of the trade, to compare with."""
    ends = [show(end, language()) for end in (rule.usual.low, rule.usual.high) if end is not None]
    return " – ".join(ends)


@register.filter
def need_words(gap: Gap | None) -> list[str]:
    """What a rule of a draft still needs."""
    return [str(NEED_WORDS[need]) for need in gap.needs] if gap else []


@register.filter
def what_words(what: What | str | None) -> str:
    """What a change asks for."""
    return str(WHAT_WORDS[What(what)]) if what else gettext("Nothing")


@register.filter
def choice_field(form: ImpactForm, line: Impact) -> object:
    """The field for one change."""
    return form.field_of(line)


@register.filter
def part_name(part: Changed) -> str:
    """What changed: the rule's quantity, the act, or the book itself."""
    found = part.part
    if isinstance(found, Rule):
        return words(found.quantity)
    if isinstance(found, CheckItem):
        return f"{found.key} · {words(found.act)}"
    if found is not None:
        return words(found.title)
    return gettext("The book") if part.subject is Subject.BOOK else gettext("Order")


@register.filter
def change_name(change: Change) -> str:
    """The field that changed, with the language where it is a text."""
    name = str(FIELD_WORDS.get(change.name, change.name))
    rest = change.what.partition(".")[2]
    return f"{name} {LANGUAGE_WORDS[rest]}" if rest in LANGUAGES else name


@register.filter
def before_words(change: Change) -> str:
    """How it stood in the older revision."""
    return _value(change, change.before, change.old)


@register.filter
def after_words(change: Change) -> str:
    """How it stands in the newer revision."""
    return _value(change, change.after, change.new)


def _value(change: Change, value: object, part: object) -> str:
    if value is None:
        return ""
    if change.what in (ADDED, REMOVED):
        return draft_text(part) if isinstance(part, Rule) else ""
    if isinstance(part, Rule) and (said := _of_rule(change, value, part)) is not None:
        return said
    return _plain(value)


def _of_rule(change: Change, value: object, rule: Rule) -> str | None:
    """What only the rule itself can show: numbers with its unit, sentences with its numbers."""
    language_code = change.what.partition(".")[2]
    if change.what in ("value", "low", "high", "tolerance"):
        return show(Measure(stored_number(str(value)), rule.unit), language(), metric=True)
    if change.what in ("unit", "by"):
        return words(UNITS[str(value)].many) or str(value)
    if change.what == "bands":
        return "; ".join(_bands(rule))
    if language_code in LANGUAGES:
        return str(value).format_map(Blanks(rule.parts(language_code)))
    if change.name == "errors" and isinstance(value, Mapping):
        return next((_error(rule, one) for one in rule.errors if one.key == value.get("key")), "")
    return None


def _bands(rule: Rule) -> Iterator[str]:
    code = language()
    for band in rule.bands:
        end = show(band.upto, code) if band.upto else BLANK
        sign = "≤" if band.closed else "<"
        said = [show(band.value, code)] if band.value else []
        said += [words(band.text).rstrip(".")] if band.text else []
        yield f"{sign} {end}: {', '.join(said)}" if band.upto else ", ".join(said)


def _error(rule: Rule, error: object) -> str:
    numbers = [getattr(error, name) for name in ("low", "value", "high")]
    shown = " – ".join(show(number, language()) for number in numbers if number is not None)
    name = draft_text(rule, error.name)  # type: ignore[attr-defined]  # a named error
    return f"{name} ({shown})" if shown else name


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return gettext("yes") if value else gettext("no")
    if isinstance(value, Mapping):
        if set(LANGUAGES) <= value.keys():
            return words(value)
        return "; ".join(f"{name}: {_plain(said)}" for name, said in value.items())
    if isinstance(value, list):
        return ", ".join(_plain(said) for said in value)
    return str(value)
