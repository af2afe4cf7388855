"""A rule book being filled from a product's sheet: what is still missing, and a rule filled with what the sheet says.

Drafts are kept as the JSON of their file, so that nothing a rule says is lost while its numbers are.
"""

import copy
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from training.domain.errors import BadInput, NotFound, Refused
from training.domain.rule_json import SOURCE_KINDS, BookFaults
from training.domain.rules import Operator, Rule, RuleBook
from training.domain.text import Text
from training.domain.units import Measure, number_text, stored_number

LAW, SHEET, PRACTICE, COMPANY = SOURCE_KINDS
Content = dict[str, Any]
MOST_NAMED = 8
"""So many rules are named in one refusal; it also says how many there are."""


class Need(StrEnum):
    """What a rule of a draft still needs."""

    VALUE = "value"
    SOURCE = "source"
    CONFIRM = "confirm"


@dataclass(frozen=True)
class Gap:
    """One rule of a draft that is not done, and what it needs."""

    rule: Rule
    needs: tuple[Need, ...]


@dataclass(frozen=True)
class Progress:
    """How far a draft is: rules in all, and those that need something, in the order of the book."""

    total: int
    gaps: tuple[Gap, ...]

    @property
    def done(self) -> int:
        """Rules that need nothing more."""
        return self.total - len(self.gaps)

    def after(self, key: str, order: Sequence[str]) -> Rule | None:
        """The next rule that needs something, going round past the end; None when none but this one is left."""
        places = {gap.rule.key: order.index(gap.rule.key) for gap in self.gaps if gap.rule.key != key}
        here = order.index(key) if key in order else -1
        ahead = sorted(places, key=lambda other: (places[other] <= here, places[other]))
        return next((gap.rule for gap in self.gaps if ahead and gap.rule.key == ahead[0]), None)


def progress(book: RuleBook, confirmed: Mapping[str, str]) -> Progress:
    """What is missing. `confirmed`: the numbers (see `numbers_of`) that somebody has confirmed as unusual, by rule."""
    gaps = ((rule, tuple(_needs(rule, confirmed))) for rule in book.rules)
    return Progress(len(book.rules), tuple(Gap(rule, needs) for rule, needs in gaps if needs))


def _needs(rule: Rule, confirmed: Mapping[str, str]) -> Iterator[Need]:
    if not has_numbers(rule):
        yield Need.VALUE
    if not has_source(rule):
        yield Need.SOURCE
    if rule.unusual and confirmed.get(rule.key) != numbers_of(rule):
        yield Need.CONFIRM


def has_numbers(rule: Rule) -> bool:
    """Does the rule have every number that its kind asks for?"""
    if rule.operator is Operator.RANGE:
        return rule.low is not None and rule.high is not None
    if rule.operator is Operator.BANDS:
        return all(band.upto is not None for band in rule.bands[:-1])
    return rule.value is not None or not rule.numeric


def has_source(rule: Rule) -> bool:
    """Is it said where the rule comes from, with revision and page for a product's sheet?"""
    source = rule.source
    return source is not None and (source.kind != SHEET or bool(source.revision and source.page))


def numbers_of(rule: Rule) -> str:
    """The rule's numbers as one text: a confirmation counts only for the numbers it was given for."""
    parts = (rule.low, rule.value, rule.high)
    return " ".join(f"{number_text(part.value, part.unit)} {part.unit}" for part in parts if part is not None)


@dataclass(frozen=True)
class Filling:
    """What the officer took from the sheet for one rule. `ends`: the first band's start, then each band's end."""

    source: Mapping[str, str]
    numbers: Mapping[str, Measure | None]
    ends: Sequence[Measure | None] = ()
    right: Text | None = None


def fill(content: Content, key: str, filling: Filling) -> Content:
    """The draft with one rule filled. Raises BadInput for numbers that cannot stand; `field` is like `bands_1_upto`."""
    filled = copy.deepcopy(content)
    data = rule_data(filled, key)
    for name, number in filling.numbers.items():
        _put(data, name, _stored(number, data["unit"]))
    if filling.ends:
        _put_ends(data["bands"], [_stored(end, data["by"]) for end in filling.ends])
    if filling.right is not None:
        data["right"] = dict(filling.right)
    _put(data, "source", {name: said for name, said in filling.source.items() if said})
    _check(filled, key)
    return filled


def _put(data: Content, name: str, value: object) -> None:
    if value:
        data[name] = value
    else:
        data.pop(name, None)


def _stored(number: Measure | None, unit: str) -> str | None:
    """The number as the file keeps it, in the rule's own unit; BadInput for one too long to be kept exactly."""
    if number is None:
        return None
    text = number_text(number.to(unit).value, unit)
    try:
        stored_number(text)
    except ValueError:
        raise BadInput("units.impossible", text=str(number), example=Measure(number.to(unit).value, unit)) from None
    return text


def _put_ends(bands: list[Content], ends: Sequence[str | None]) -> None:
    _put(bands[0], "from", ends[0])
    for band, end in zip(bands, ends[1:], strict=False):
        _put(band, "upto", end)


def _check(content: Content, key: str) -> None:
    """Only the faults of this rule matter here: the others were there before."""
    try:
        RuleBook.parse(_around(content, key), draft=True)
    except BookFaults as refused:
        place = f"rules.{key}"
        for fault in refused.faults:
            if fault.place == place or fault.place.startswith(f"{place}."):
                field = fault.place.removeprefix(f"{place}.").replace(".", "_")
                raise BadInput(fault.message, field=field) from refused


def leave_out(content: Content, key: str) -> Content:
    """The draft without one rule, and without the acts of the checklist that are held against it."""
    rule_data(content, key)
    kept = copy.deepcopy(content)
    kept["rules"] = [rule for rule in kept["rules"] if rule["key"] != key]
    kept["checklist"] = [item for item in kept.get("checklist", []) if item.get("rule") != key]
    for rule in kept["rules"]:
        _put(rule, "errors", [error for error in rule.get("errors", []) if error.get("like") != key])
        _put(rule, "confused_with", [other for other in rule.get("confused_with", []) if other != key])
    if not kept["rules"]:
        raise Refused("rule_draft.last_rule")
    return kept


def rule_data(content: Content, key: str) -> Content:
    """The part of the draft that holds one rule; NotFound when there is none of that key."""
    for rule in content["rules"]:
        if rule["key"] == key:
            found: Content = rule
            return found
    raise NotFound("rule_book.no_such_rule", rule=key)


def rule_of(content: Content, key: str) -> Rule:
    """The same as a rule; faults of other rules do not matter."""
    rule_data(content, key)
    return RuleBook.parse(_around(content, key), draft=True).rule(key)


def _around(content: Content, key: str) -> Content:
    """The draft cut down to one rule and those that it names: quick to read."""
    data = rule_data(content, key)
    named = {key, *(error.get("like") for error in data.get("errors", [])), *data.get("confused_with", [])}
    rules = [rule if rule is data else _alone(rule) for rule in content["rules"] if rule["key"] in named]
    return {**content, "rules": rules, "checklist": []}


def _alone(rule: Content) -> Content:
    """A rule without what it says about others."""
    errors = [error for error in rule.get("errors", []) if "like" not in error]
    return {name: said for name, said in rule.items() if name != "confused_with"} | {"errors": errors}


def check_whole(content: Content, confirmed: Mapping[str, str]) -> RuleBook:
    """The book, if it may be issued; raises Refused naming the rules that lack something, else `BookFaults`."""
    found = progress(RuleBook.parse(content, draft=True), confirmed)
    for need, key in (
        (Need.VALUE, "rule_draft.no_value"),
        (Need.SOURCE, "rule_draft.no_source"),
        (Need.CONFIRM, "rule_draft.unconfirmed"),
    ):
        lacking = [gap.rule.quantity for gap in found.gaps if need in gap.needs]
        if lacking:
            raise Refused(key, rules=lacking[:MOST_NAMED], count=len(lacking))
    return RuleBook.parse(content)


def check_reviewer(reviewer: int, editors: Collection[int]) -> None:
    """Nobody reviews what they wrote."""
    if reviewer in editors:
        raise Refused("rule_draft.own_review")
