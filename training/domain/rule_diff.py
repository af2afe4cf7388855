"""What changed between two revisions of a rule book, exactly: per rule and per act of the checklist, field by field.

A grave change can make an answer or an act that was right wrong; every other change is one of wording.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import groupby
from typing import TypeVar

from training.domain.rule_export import Json, export_item, export_rule, export_topic
from training.domain.rules import CheckItem, Rule, RuleBook, Topic
from training.domain.text import LANGUAGES


class Subject(StrEnum):
    """What a change is about."""

    BOOK = "book"
    TOPIC = "topic"
    RULE = "rule"
    ITEM = "item"


Part = Rule | CheckItem | Topic
P = TypeVar("P", Rule, CheckItem, Topic)
ADDED, REMOVED, ORDER = "added", "removed", "order"
KEYED = ("errors", "acts")
GRAVE = frozenset(
    {"operator", "unit", "value", "low", "high", "bands", "by", "tolerance", "applies", "critical", "acts", "numbers",
     "type", "rule", "repeat", "need", "in_a_row", "weight", "least", "scopes"}
)  # fmt: skip
"""Fields of a rule, or of an act of the checklist, whose change is grave."""


@dataclass(frozen=True)
class Change:
    """One thing that differs. `key` names the rule or act, empty for the book itself.

    what: `added`, `removed`, `order`, a field of the file, a language of one (`text.es`) or a named error
    (`errors.half`). before, after: as they stand in the file, None when not there; `follows` is the key after which
    something new stands. old, new: the whole rule or act, for showing.
    """

    subject: Subject
    key: str
    what: str
    before: object
    after: object
    grave: bool
    follows: str = ""
    old: Part | None = field(default=None, compare=False, repr=False)
    new: Part | None = field(default=None, compare=False, repr=False)

    @property
    def name(self) -> str:
        """The field without its language or its error."""
        return self.what.partition(".")[0]


@dataclass(frozen=True)
class Changed:
    """All changes of one rule, act, topic or of the book."""

    subject: Subject
    key: str
    changes: tuple[Change, ...]

    @property
    def grave(self) -> bool:
        """Is one of them grave?"""
        return any(change.grave for change in self.changes)

    @property
    def part(self) -> Part | None:
        """The rule or act as it is now, or as it was when it is gone."""
        return self.changes[0].new or self.changes[0].old


def diff(old: RuleBook, new: RuleBook) -> tuple[Change, ...]:
    """Every change from one revision to another; nothing for the same book."""
    return (
        *_product(old, new),
        *_parts(Subject.TOPIC, old.topics, new.topics, export_topic),
        *_parts(Subject.RULE, old.rules, new.rules, export_rule),
        *_parts(Subject.ITEM, old.checklist, new.checklist, export_item),
    )


def by_part(changes: Iterable[Change]) -> tuple[Changed, ...]:
    """The changes gathered by rule or act, in the order of the book."""
    groups = groupby(changes, key=lambda change: (change.subject, change.key))
    return tuple(Changed(subject, key, tuple(found)) for (subject, key), found in groups)


def touched_rules(changes: Iterable[Change]) -> frozenset[str]:
    """Rules of the newer revision that changed, gravely or in wording: what a short quiz can ask about."""
    found = (change for change in changes if change.subject is Subject.RULE and change.what != REMOVED)
    return frozenset(change.key for change in found if change.key)


def _product(old: RuleBook, new: RuleBook) -> Iterator[Change]:
    for name, before, after in (("product", old.product, new.product), ("kind", old.kind, new.kind)):
        if before != after:
            yield Change(Subject.BOOK, "", name, before, after, grave=True)


def _parts(subject: Subject, old: Sequence[P], new: Sequence[P], export: Callable[[P], Json]) -> Iterator[Change]:
    """Changes of the rules, acts or topics of two books: gone ones, then the rest in the new order."""
    was: dict[str, P] = {part.key: part for part in old}
    now: dict[str, P] = {part.key: part for part in new}
    if _kept(was, now) != _kept(now, was):
        yield Change(subject, "", ORDER, list(was), list(now), grave=False)
    for key, part in was.items():
        if key not in now:
            yield Change(subject, key, REMOVED, export(part), None, grave=subject is not Subject.TOPIC, old=part)
    for before, (key, part) in zip(("", *now), now.items(), strict=False):
        if key not in was:
            grave = subject is not Subject.TOPIC
            yield Change(subject, key, ADDED, None, export(part), grave, follows=before, new=part)
        else:
            yield from _fields(subject, was[key], part, export(was[key]), export(part))


def _kept(keys: Iterable[str], other: Iterable[str]) -> list[str]:
    """The keys that both have, in the order of the first."""
    known = set(other)
    return [key for key in keys if key in known]


def _fields(subject: Subject, old: Part, new: Part, before: Json, after: Json) -> Iterator[Change]:
    for name in dict.fromkeys((*before, *after)):
        if before.get(name) == after.get(name):
            continue
        for place, was, now, follows in _pieces(name, before.get(name), after.get(name)):
            grave = name in GRAVE and not (name == "acts" and place != name and was is not None and now is not None)
            yield Change(subject, old.key, place, was, now, grave, follows, old, new)


Piece = tuple[str, object, object, str]


def _pieces(name: str, before: object, after: object) -> Iterator[Piece]:
    """A changed field as its smallest pieces: one language of a text, one of the named errors or acts."""
    if name in KEYED:
        yield from _listed(name, before or [], after or [])
    elif _is_text(before) and _is_text(after):
        assert isinstance(before, Mapping) and isinstance(after, Mapping)
        for language in LANGUAGES:
            if before[language] != after[language]:
                yield f"{name}.{language}", before[language], after[language], ""
    else:
        yield name, before, after, ""


def _is_text(value: object) -> bool:
    return isinstance(value, Mapping) and value.keys() == set(LANGUAGES)


def _listed(name: str, before: object, after: object) -> Iterator[Piece]:
    was, now = _keyed(before), _keyed(after)
    if _kept(was, now) != _kept(now, was):
        yield name, list(was), list(now), ""
    for key in (key for key in was if key not in now):
        yield f"{name}.{key}", was[key], None, ""
    for follows, key in zip(("", *now), now, strict=False):
        if was.get(key) != now[key]:
            yield f"{name}.{key}", was.get(key), now[key], follows if key not in was else ""


def _keyed(items: object) -> dict[str, object]:
    assert isinstance(items, list)
    return {item["key"]: item for item in items}
