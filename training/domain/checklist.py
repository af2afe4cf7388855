"""The hands-on checklist: acts for some scopes, each value judged against its limit, and what the whole comes to."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from training.domain.errors import BadInput, Refused
from training.domain.messages import Message
from training.domain.rules import CheckItem, Rule, RuleBook
from training.domain.units import Measure

_FAILED = {"stop": "checklist.failed_stop", "critical": "checklist.failed_critical"}
RATINGS = (0, 1, 2)
"""2 does it unaided, 1 with one prompt, 0 does not or does it wrong."""

Value = bool | int | Measure
"""One observation: yes or no, a rating, or a measured reading."""


@dataclass(frozen=True)
class Observation:
    """What the evaluator noted for one item: values in the order seen, or the reason why it did not apply."""

    values: tuple[Value, ...] = ()
    not_applicable: str = ""


@dataclass(frozen=True)
class ValueJudgement:
    """One value judged at once: good or not, and why not in words for the page."""

    ok: bool
    message: Message


@dataclass(frozen=True)
class ItemResult:
    """One item judged. share: part of its point, 0 to 1. complete: were enough values noted to decide?"""

    item: CheckItem
    ok: bool
    complete: bool
    share: Fraction
    good: int
    judged: tuple[ValueJudgement, ...]
    applies: bool = True

    @property
    def stops(self) -> bool:
        """Does it end the whole hands-on?"""
        return self.item.weight == "stop" and self.applies and self.complete and not self.ok


@dataclass(frozen=True)
class HandsOnResult:
    """result: passed, failed or stopped. scopes: passed scope keys, empty unless passed. share: of ordinary points."""

    result: str
    scopes: frozenset[str]
    share: Fraction
    failures: tuple[Message, ...]
    items: tuple[ItemResult, ...]


@dataclass(frozen=True)
class Checklist:
    """The items for the scopes asked, with the rules that give their limits."""

    items: tuple[CheckItem, ...]
    rules: Mapping[str, Rule]
    scopes: frozenset[str]

    @classmethod
    def for_scopes(cls, book: RuleBook, scopes: Collection[str]) -> "Checklist":
        """Items without a scope always, others when they share one with those asked; `Refused` when none is asked."""
        asked = frozenset(scopes)
        if not asked:
            raise Refused("checklist.no_scopes")
        items = tuple(item for item in book.checklist if not item.scopes or item.scopes & asked)
        return cls(items, {item.rule: book.rule(item.rule) for item in items if item.rule}, asked)

    def item(self, key: str) -> CheckItem:
        """The item of that key; `BadInput` when this checklist has none."""
        for item in self.items:
            if item.key == key:
                return item
        raise BadInput("checklist.no_such_item", item=key)

    def limit(self, item: CheckItem) -> Rule | None:
        """The rule whose limit a measured item is held against."""
        return self.rules.get(item.rule)

    def judge_value(self, item: CheckItem, value: Value) -> ValueJudgement:
        """Judge one value as soon as it is typed; `BadInput` when it is not of the item's kind."""
        if item.kind == "measured":
            return self._judge_reading(item, value)
        if item.kind == "rating":
            if isinstance(value, bool) or value not in RATINGS:
                raise BadInput("checklist.rating_0_1_2", item=item.key)
            ok = isinstance(value, int) and value >= item.least
            return ValueJudgement(ok, Message("checklist.rating_good" if ok else "checklist.rating_low"))
        if not isinstance(value, bool):
            raise BadInput("checklist.yes_or_no", item=item.key)
        return ValueJudgement(value, Message("checklist.done" if value else "checklist.not_done"))

    def _judge_reading(self, item: CheckItem, value: Value) -> ValueJudgement:
        rule = self.rules[item.rule]
        if not isinstance(value, Measure) or value.kind != Measure(Fraction(0), rule.unit).kind:
            raise BadInput("checklist.needs_reading", item=item.key)
        judgement = rule.judge(value)
        return ValueJudgement(judgement.ok, judgement.message)

    def judge_item(self, item: CheckItem, seen: Observation) -> ItemResult:
        """Judge one item with all its values so far.

        Raises `Refused` for "not applicable" without a reason of its own or on an item that always applies,
        and `BadInput` for too many values.
        """
        if seen.not_applicable:
            return self._set_aside(item, seen)
        if len(seen.values) > item.repeat:
            raise BadInput("checklist.too_many_values", item=item.key, repeat=item.repeat)
        judged = tuple(self.judge_value(item, value) for value in seen.values)
        good = _longest_run(judged) if item.in_a_row else sum(value.ok for value in judged)
        ok = good >= item.need
        left = item.repeat - len(judged)
        complete = left == 0 or _can_no_longer(item, good, left, judged)
        share = _share(item, seen.values, ok)
        return ItemResult(item, ok and complete, complete, share if complete else Fraction(0), good, judged)

    def _set_aside(self, item: CheckItem, seen: Observation) -> ItemResult:
        if not item.scopes:
            raise Refused("checklist.always_applies", item=item.key)
        if not seen.not_applicable.strip():
            raise Refused("checklist.needs_reason", item=item.key)
        return ItemResult(item, True, True, Fraction(0), 0, (), applies=False)

    def judge(self, seen: Mapping[str, Observation], pass_share: Fraction) -> HandsOnResult:
        """Judge the whole hands-on. A failed stop item ends it: the rest need not be filled then.

        Passed when every critical item is good and the ordinary points reach `pass_share` (0 to 1).
        Raises `Refused` naming the parts with items still open.
        """
        results = tuple(self.judge_item(item, seen.get(item.key, Observation())) for item in self.items)
        share = _points(results)
        stopped = [result for result in results if result.stops]
        if stopped:
            return HandsOnResult("stopped", frozenset(), share, _failures(stopped), results)
        still_open = {result.item.group["en"]: result.item.group for result in results if not result.complete}
        if still_open:
            raise Refused("checklist.still_open", parts=list(still_open.values()))
        failures = _failures([result for result in results if not result.ok and result.item.weight != "normal"])
        if share < pass_share:
            failures += (Message("checklist.share_low", {"share": _percent(share), "needed": _percent(pass_share)}),)
        scopes = self.scopes - _removed(results)
        if not scopes:
            failures += (Message("checklist.nothing_left"),)
        if failures:
            return HandsOnResult("failed", frozenset(), share, failures, results)
        return HandsOnResult("passed", scopes, share, (), results)


def _longest_run(judged: Sequence[ValueJudgement]) -> int:
    best = run = 0
    for value in judged:
        run = run + 1 if value.ok else 0
        best = max(best, run)
    return best


def _can_no_longer(item: CheckItem, good: int, left: int, judged: Sequence[ValueJudgement]) -> bool:
    """Is the item already lost, whatever the values still to come? Then it need not be filled."""
    if good >= item.need:
        return False
    if not item.in_a_row:
        return good + left < item.need
    run = 0
    for value in judged:
        run = run + 1 if value.ok else 0
    return run + left < item.need


def _share(item: CheckItem, values: Sequence[Value], ok: bool) -> Fraction:
    """Part of the item's point: the mean rating of 2 for rated acts, all or nothing for the others."""
    if item.kind == "rating" and values:
        return Fraction(sum(int(value) for value in values if isinstance(value, int)), 2 * len(values))
    return Fraction(int(ok))


def _points(results: Sequence[ItemResult]) -> Fraction:
    """Share of the ordinary items' points; 1 when there are none."""
    counted = [result.share for result in results if result.applies and result.item.weight == "normal"]
    return sum(counted, Fraction(0)) / len(counted) if counted else Fraction(1)


def _failures(failed: Sequence[ItemResult]) -> tuple[Message, ...]:
    return tuple(
        Message(
            _FAILED[result.item.weight],
            {"item": result.item.key, "act": result.item.act, "good": result.good, "need": result.item.need},
        )
        for result in failed
    )


def _removed(results: Sequence[ItemResult]) -> frozenset[str]:
    """Scopes that an item set aside takes with it."""
    return frozenset(scope for result in results if not result.applies for scope in result.item.scopes)


def _percent(share: Fraction) -> int:
    """Whole per cent, rounded down so that 79.9 never reads as 80."""
    return int(share * 100)
