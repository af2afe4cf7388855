"""Rules of one adhesive's rule book: a quantity, a limit, where it applies, why, and the errors people make about it.

A rule judges readings (`judge`); what somebody says about a rule is judged in `claims`. Format: `rule_json`.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from training.domain.errors import NotFound
from training.domain.messages import Message
from training.domain.text import Blanks, Text, both, capital
from training.domain.units import Measure, show


class Operator(StrEnum):
    """How a rule limits its quantity."""

    MIN = "min"
    MAX = "max"
    RANGE = "range"
    EXACT = "exact"
    ORDER = "order"
    ALWAYS = "always"
    NEVER = "never"
    CHOICE = "choice"
    BANDS = "bands"


NUMERIC = frozenset({Operator.MIN, Operator.MAX, Operator.RANGE, Operator.EXACT})
PRACTICE = frozenset({Operator.ALWAYS, Operator.NEVER, Operator.CHOICE})


LIMIT_PHRASES = {
    Operator.MIN: Text("at least {value}", "al menos {value}"),
    Operator.MAX: Text("at most {value}", "máximo {value}"),
    Operator.RANGE: Text("{low} to {high}", "{low} a {high}"),
    Operator.EXACT: Text("{value}", "{value}"),
}
"""How a limit is said, by the operator that has one."""


class Side(StrEnum):
    """Where a reading lies against a rule's limits."""

    LOW = "low"
    INSIDE = "inside"
    HIGH = "high"


_JUDGED = {Side.LOW: "judge.too_low", Side.INSIDE: "judge.inside", Side.HIGH: "judge.too_high"}


@dataclass(frozen=True)
class Limits:
    """Lowest and highest allowed value; None where there is no limit on that side."""

    low: Measure | None = None
    high: Measure | None = None


@dataclass(frozen=True)
class Source:
    """Where a value comes from: kind, and for law its citation, for a product sheet its revision and page."""

    kind: str
    citation: str = ""
    revision: str = ""
    page: str = ""


@dataclass(frozen=True)
class Move:
    """How a wrong number follows from the right one: times `factor`, or higher by `plus`; one of them."""

    factor: Fraction | None = None
    plus: Fraction | None = None


@dataclass(frozen=True)
class NamedError:
    """A mistake people make about the rule: its name for the learner, and the wrong value or sentence it leads to.

    `moves` (by value, low, high) and `like` (a mix-up with that rule) say where its numbers come from: `rule_errors`.
    """

    key: str
    name: Text
    value: Measure | None = None
    low: Measure | None = None
    high: Measure | None = None
    text: Text | None = None
    moves: Mapping[str, Move] = field(default_factory=dict)
    like: str = ""


@dataclass(frozen=True)
class Sketch:
    """What drawings of a rule show: a kind of `rule_hints.SKETCHES`, for tile of one profile.

    places: where the pad lies in the drawing of the right practice (`right`) and of each named error, by its key.
    """

    kind: str
    profile: str = "low"
    places: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Act:
    """One act of an ordered row of acts."""

    key: str
    text: Text


@dataclass(frozen=True)
class Band:
    """A stretch of the deciding quantity, above (or from) `above` to `upto` (itself when `closed`), and its demand."""

    above: Measure | None
    includes_above: bool
    upto: Measure | None
    closed: bool
    value: Measure | None
    text: Text | None

    def holds(self, by: Measure) -> bool:
        """Does this band decide for a deciding quantity of `by`?"""
        over = self.above is None or by > self.above or (self.includes_above and by == self.above)
        under = self.upto is None or by < self.upto or (self.closed and by == self.upto)
        return over and under


@dataclass(frozen=True)
class Judgement:
    """Is a reading as the rule wants it; where it lies; and a message with the limit for whoever measured."""

    ok: bool
    side: Side
    message: Message


@dataclass(frozen=True)
class Rule:
    """One computable rule. `tolerance` is in the rule's own unit and counts on both sides of a limit.

    confused_with: rules of the same unit that people mix up with it; neighbours: what their limits would be here.
    calculation: what can be worked out from its value (`sums`). sketch: how it is drawn.
    """

    key: str
    topic: str
    operator: Operator
    quantity: Text
    text: Text
    why: Text
    critical: bool
    errors: tuple[NamedError, ...]
    unit: str = ""
    value: Measure | None = None
    low: Measure | None = None
    high: Measure | None = None
    bands: tuple[Band, ...] = ()
    by: str = ""
    by_quantity: Text | None = None
    tolerance: Fraction = Fraction(0)
    applies: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    goes_wrong: Text | None = None
    ask: Text | None = None
    right: Text | None = None
    acts: tuple[Act, ...] = ()
    numbers: Mapping[str, Measure] = field(default_factory=dict)
    source: Source | None = None
    usual: Limits = Limits()
    confused_with: tuple[str, ...] = ()
    neighbours: tuple[NamedError, ...] = ()
    calculation: str = ""
    sketch: Sketch | None = None

    def __hash__(self) -> int:
        return hash(self.key)

    @cached_property
    def heading(self) -> Text:
        """The quantity as a sentence starts with it."""
        return both(lambda language: capital(self.quantity[language]))

    @property
    def numeric(self) -> bool:
        """Has it one limit, or a pair, that a reading can be judged against?"""
        return self.operator in NUMERIC

    @cached_property
    def limits(self) -> Limits:
        """The limits a reading must keep, tolerance included."""
        low = self.low if self.operator is Operator.RANGE else self.value
        high = self.high if self.operator is Operator.RANGE else self.value
        return Limits(
            None if low is None or self.operator is Operator.MAX else low.plus(-self.tolerance),
            None if high is None or self.operator is Operator.MIN else high.plus(self.tolerance),
        )

    def judge(self, reading: Measure, by: Measure | None = None) -> Judgement:
        """Judge one measured reading; a rule in bands also needs its deciding quantity.

        Raises `ValueError` for a rule that has no number to judge against, or a unit of another kind.
        """
        rule = self if self.numeric else self._in_band(by)
        side = rule.side_of(reading)
        values = {"reading": reading, "limit": rule.limit_phrase(), "quantity": self.quantity}
        return Judgement(side is Side.INSIDE, side, Message(_JUDGED[side], values))

    def side_of(self, reading: Measure) -> Side:
        """Where a reading lies against the limits of a rule with numbers."""
        limits = self.limits
        if limits.low is not None and reading < limits.low:
            return Side.LOW
        return Side.HIGH if limits.high is not None and reading > limits.high else Side.INSIDE

    def _in_band(self, by: Measure | None) -> "Rule":
        """The exact rule that a rule in bands becomes for one value of its deciding quantity."""
        band = self.band_for(by) if by is not None else None
        if band is None or band.value is None:
            raise ValueError(f"{self.key} has no number to judge against")
        return Rule(self.key, self.topic, Operator.EXACT, self.quantity, self.text, self.why, self.critical,
                    (), self.unit, band.value, tolerance=self.tolerance)  # fmt: skip

    def band_for(self, by: Measure) -> Band | None:
        """The band that decides for this value, or None outside all bands."""
        return next((band for band in self.bands if band.holds(by)), None)

    def limit_phrase(self, *, metric: bool = False) -> Text:
        """The limit with the side it lies on: `at least 70 °F`, `58 °F to 91 °F`."""
        ends = {"value": self.value, "low": self.low, "high": self.high}

        def words(language: str) -> str:
            shown = {name: show(end, language, metric=metric) for name, end in ends.items() if end is not None}
            return LIMIT_PHRASES[self.operator][language].format_map(shown)

        return both(words)

    def limit_text(self, *, metric: bool = False) -> Text:
        """The bare limit for display: `70 °F`, or `58 °F – 91 °F`."""
        return both(lambda language: self._limit(language, metric))

    def _limit(self, language: str, metric: bool) -> str:
        shown = [show(part, language, metric=metric) for part in (self.low, self.value, self.high) if part is not None]
        return " – ".join(shown)

    def parts(self, language: str, *, metric: bool = False) -> dict[str, str]:
        """The numbers of this rule as words for its sentences, by the name used in them."""
        named = {"value": self.value, "low": self.low, "high": self.high, **self.numbers}
        if self.tolerance:
            named["tolerance"] = Measure(self.tolerance, self.unit)
        return {name: show(number, language, metric=metric) for name, number in named.items() if number is not None}

    def say(self, sentence: Text | None = None, *, metric: bool = False) -> Text:
        """A sentence of this rule (its own text when none is given) with the numbers put in; a draft's blanks show."""
        said = sentence or self.text
        if "{" not in said.en and "}" not in said.en + said.es:
            return said
        return said.filled(lambda language: Blanks(self.parts(language, metric=metric)))

    def applies_to(self, scopes: Collection[str]) -> bool:
        """Does it concern anyone who holds or seeks these scope keys (`profile:low`)? True when it has no condition."""
        return all(any(f"{family}:{key}" in scopes for key in keys) for family, keys in self.applies.items())

    @property
    def unusual(self) -> bool:
        """Does a number lie outside the usual range of the trade, so that a person should confirm it?"""
        numbers = [part for part in (self.value, self.low, self.high) if part is not None]
        low, high = self.usual.low, self.usual.high
        return any((low is not None and part < low) or (high is not None and part > high) for part in numbers)


@dataclass(frozen=True)
class CheckItem:
    """One observable act of the hands-on checklist.

    kind: yes_no, rating (0, 1, 2) or measured (against `rule`). repeat: how many readings; need: how many good ones,
    `in_a_row` when they must follow each other. weight: stop, critical or normal. least: lowest rating that passes.
    """

    key: str
    group: Text
    act: Text
    kind: str
    rule: str = ""
    repeat: int = 1
    need: int = 1
    in_a_row: bool = False
    weight: str = "normal"
    least: int = 1
    scopes: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Topic:
    """One chapter of the rule book."""

    key: str
    title: Text


@dataclass(frozen=True)
class RuleBook:
    """All rules of one product in one revision, with the checklist computed from them."""

    product: str
    kind: str
    topics: tuple[Topic, ...]
    rules: tuple[Rule, ...]
    checklist: tuple[CheckItem, ...] = ()

    @classmethod
    def parse(cls, data: object, *, draft: bool = False) -> "RuleBook":
        """Read a book from its JSON value. A draft may lack values and sources.

        Raises `rule_json.BookFaults` with every fault's place and remedy.
        """
        from training.domain.rule_json import read_book

        return read_book(data, draft=draft)

    def __hash__(self) -> int:
        return hash(self.product)

    @cached_property
    def _by_key(self) -> dict[str, Rule]:
        return {rule.key: rule for rule in self.rules}

    @cached_property
    def by_topic(self) -> dict[str, tuple[Rule, ...]]:
        """The rules of each topic, in the order of the book."""
        return {topic.key: tuple(rule for rule in self.rules if rule.topic == topic.key) for topic in self.topics}

    def rule(self, key: str) -> Rule:
        """The rule of that key; `NotFound` when the book has none."""
        if key not in self._by_key:
            raise NotFound("rule_book.no_such_rule", rule=key)
        return self._by_key[key]

    def has(self, key: str) -> bool:
        """Does the book hold a rule of that key?"""
        return key in self._by_key

    def topic(self, key: str) -> Topic:
        """The topic of that key; `NotFound` when the book has none."""
        for topic in self.topics:
            if topic.key == key:
                return topic
        raise NotFound("rule_book.no_such_topic", topic=key)

    def about(self, scopes: Collection[str]) -> Iterable[Rule]:
        """The rules that concern somebody with these scopes."""
        return (rule for rule in self.rules if rule.applies_to(scopes))
