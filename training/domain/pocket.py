"""The pocket sheet: the day's limits of one product on one page, in every language, from the book the quiz uses."""

from collections.abc import Iterator
from dataclasses import dataclass

from training.domain.rules import Operator, Rule, RuleBook, Topic
from training.domain.text import Text, both
from training.domain.units import show

DAY_TOPICS = ("weather", "surface", "product", "kit", "pads", "setting", "cure", "contact")
"""What a gunner meets between opening the cylinder and leaving the roof, in that order."""

MOST = 32
"""Lines that fit on one printed page in two columns."""

AT_LEAST = Text("at least {value}", "al menos {value}")
AT_MOST = Text("at most {value}", "máximo {value}")
FROM_TO = Text("{low} to {high}", "{low} a {high}")
EXACTLY = Text("{value}", "{value}")
PHRASES = {
    Operator.MIN: AT_LEAST,
    Operator.MAX: AT_MOST,
    Operator.RANGE: FROM_TO,
    Operator.EXACT: EXACTLY,
}


@dataclass(frozen=True)
class Line:
    """One limit: what is limited, the limit with its unit and metric beside it, and whether it is critical."""

    rule: str
    quantity: Text
    limit: Text
    critical: bool


@dataclass(frozen=True)
class Chapter:
    """The lines of one topic."""

    title: Text
    lines: tuple[Line, ...]


def pocket_sheet(book: RuleBook, most: int = MOST) -> tuple[Chapter, ...]:
    """The product's own numeric limits of the day's work; when too many for a page, critical ones stay first."""
    chosen = _chosen([rule for _topic, rules in _chapters(book) for rule in rules], most)
    found = ((topic, [rule for rule in rules if rule.key in chosen]) for topic, rules in _chapters(book))
    return tuple(Chapter(topic.title, tuple(map(_line, rules))) for topic, rules in found if rules)


def _chapters(book: RuleBook) -> Iterator[tuple[Topic, list[Rule]]]:
    known = {topic.key: topic for topic in book.topics}
    for key in DAY_TOPICS:
        if key in known:
            yield known[key], [rule for rule in book.by_topic[key] if _belongs(rule)]


def _belongs(rule: Rule) -> bool:
    """A limit that somebody measures by, from the product's sheet or the company."""
    return rule.operator in PHRASES and rule.source is not None and rule.source.kind != "law or standard"


def _chosen(rules: list[Rule], most: int) -> set[str]:
    ranked = sorted(rules, key=lambda rule: not rule.critical)
    return {rule.key for rule in ranked[:most]}


def _line(rule: Rule) -> Line:
    return Line(rule.key, rule.quantity, _limit(rule), rule.critical)


def _limit(rule: Rule) -> Text:
    named = {"value": rule.value, "low": rule.low, "high": rule.high}

    def words(language: str) -> str:
        shown = {name: show(number, language, metric=True) for name, number in named.items() if number is not None}
        return PHRASES[rule.operator][language].format_map(shown)

    return both(words)
