"""The pocket sheet: the day's limits of one product on one page, in every language, from the book the quiz uses."""

from collections.abc import Iterator
from dataclasses import dataclass

from training.domain.rules import Rule, RuleBook, Topic
from training.domain.text import Text

DAY_TOPICS = ("weather", "surface", "product", "kit", "pads", "setting", "cure", "contact")
"""What a gunner meets between opening the cylinder and leaving the roof, in that order."""

MOST = 32
"""Lines that fit on one printed page in two columns."""


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
    return rule.numeric and rule.source is not None and rule.source.kind != "law or standard"


def _chosen(rules: list[Rule], most: int) -> set[str]:
    ranked = sorted(rules, key=lambda rule: not rule.critical)
    return {rule.key for rule in ranked[:most]}


def _line(rule: Rule) -> Line:
    return Line(rule.key, rule.quantity, rule.limit_phrase(metric=True), rule.critical)
