"""Draws a paper: so many questions from each topic, enough critical ones, no rule twice, keys spread over the letters.

A paper is (seed, items), an item is (pattern, rule, seed): it can be shown and marked again on its book revision.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, groupby

from training.domain.blueprint import Blueprint
from training.domain.chance import Chance
from training.domain.errors import NotFound, Refused
from training.domain.json_reading import Fault, FileFaults, Node
from training.domain.kept import kept
from training.domain.patterns import PATTERNS
from training.domain.questions import Question, patterns_for, question
from training.domain.rules import Rule, RuleBook
from training.domain.seats import Demand, Seat, fill_seats

FORMAT = "headlap-paper/1"
TWO_OPTION_SHARE = Fraction(1, 5)
LONGEST_RUN = 3
_TRIES = 12
_TRIES_AMONG_RULES = 60
"""More where a question shows other rules too: none of them should be one that the paper asks."""
_PARTS = 840
"""Parts of a question: divides by any number of options up to eight."""

__all__ = ["LONGEST_RUN", "TWO_OPTION_SHARE", "Blueprint", "Paper", "PaperItem", "Seen", "draw", "mentions"]


@dataclass(frozen=True)
class PaperItem:
    """One question of a paper, as it is stored."""

    pattern: str
    rule: str
    seed: str


@dataclass(frozen=True)
class Paper:
    """One drawn set of questions."""

    seed: str
    items: tuple[PaperItem, ...]

    def questions(self, book: RuleBook) -> tuple[Question, ...]:
        """The questions, made again from the book revision the paper was drawn from."""
        return tuple(question(book.rule(item.rule), item.pattern, item.seed, book) for item in self.items)

    def to_json(self) -> dict[str, object]:
        """The paper as plain JSON values."""
        items = [[item.pattern, item.rule, item.seed] for item in self.items]
        return {"format": FORMAT, "seed": self.seed, "items": items}

    @classmethod
    def from_json(cls, data: object) -> "Paper":
        """Read it back; raises `FileFaults` when it is no paper."""
        faults: list[Fault] = []
        node = Node(data, "paper", faults)
        node.one_of("format", [FORMAT])
        items = node.data.get("items")
        seed = node.string("seed")
        if not isinstance(items, list) or not all(_is_item(item) for item in items):
            node.fault("file.not_a_list", "items", field="items")
        if faults:
            raise FileFaults(faults)
        assert isinstance(items, list)
        return cls(seed, tuple(PaperItem(*item) for item in items))


def _is_item(item: object) -> bool:
    return isinstance(item, list) and len(item) == 3 and all(isinstance(part, str) for part in item)


# --- drawing --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Seen:
    """What a person was shown before: rules, patterns of rules with their answers' values, and whole questions."""

    rules: Counter[str]
    values: Collection[tuple[str, str, str]]
    stems: Collection[tuple[str, str]]

    @classmethod
    def of(cls, book: RuleBook, items: Iterable[PaperItem]) -> "Seen":
        """Made from earlier papers' items; rules that the book no longer has, or asks otherwise, are left out."""
        asked = []
        for item in items:
            try:
                asked.append(question(book.rule(item.rule), item.pattern, item.seed, book))
            except (NotFound, Refused):
                continue
        return cls.of_questions(asked)

    @classmethod
    def of_questions(cls, asked: Sequence[Question]) -> "Seen":
        """Made from questions that were shown."""
        return cls(
            Counter(made.rule.key for made in asked),
            {(made.pattern, made.rule.key, made.value) for made in asked},
            {(made.rule.key, made.stem.en) for made in asked},
        )

    def was_shown(self, made: Question) -> bool:
        """Was this question, or this answer of this pattern, shown before?"""
        return (made.pattern, made.rule.key, made.value) in self.values or (made.rule.key, made.stem.en) in self.stems


def draw(
    blueprint: Blueprint,
    book: RuleBook,
    seed: str,
    seen: Iterable[PaperItem] = (),
    scopes: Collection[str] | None = None,
) -> Paper:
    """Draw a paper exactly to the blueprint. `seen`: items of the person's earlier papers, avoided where possible.

    `scopes`: only rules that concern these scopes. Same arguments, same paper.
    Raises `Refused`, naming the topic or the limit and what to do, when the blueprint cannot be filled.
    """
    by_topic = book.by_topic if scopes is None else _about(book, scopes)
    before = Seen.of(book, seen)
    chance = Chance(f"paper/{seed}")
    seats = [
        Seat(rule.key, topic, rule.critical, _kinds(rule, book, before, chance), before.rules[rule.key])
        for topic in blueprint.topics
        for rule in _by_freshness(by_topic.get(topic, ()), before, chance)
    ]
    demand = Demand(
        blueprint.topics, _limits(blueprint), blueprint.critical_at_least, blueprint.kinds_least,
        blueprint.never_together,
    )  # fmt: skip
    taken = fill_seats(seats, demand)
    items = _spread_keys(chance.shuffled(taken), book, seed, before)
    return Paper(seed, tuple(items))


def _about(book: RuleBook, scopes: Collection[str]) -> dict[str, list[Rule]]:
    """The rules of each topic that concern somebody with these scopes."""
    return {topic: [rule for rule in rules if rule.applies_to(scopes)] for topic, rules in book.by_topic.items()}


def _by_freshness(rules: Sequence[Rule], before: Seen, chance: Chance) -> list[Rule]:
    """In a random order, the ones least often shown to this person first."""
    mixed = chance.shuffled(rules)
    return sorted(mixed, key=lambda rule: before.rules[rule.key]) if before.rules else mixed


@kept
def _askable(book: RuleBook) -> dict[str, tuple[str, ...]]:
    """The patterns that can ask about each rule of the book."""
    return {rule.key: patterns_for(rule, book) for rule in book.rules}


def _kinds(rule: Rule, book: RuleBook, before: Seen, chance: Chance) -> tuple[str, ...]:
    """The patterns that can ask about the rule, from a random one on, the ones not shown yet first."""
    known = _askable(book)[rule.key]
    first = chance.below(len(known)) if known else 0
    mixed = [*known[first:], *known[:first]]
    if before.rules[rule.key]:
        shown = {pattern for pattern, key, _ in before.values if key == rule.key}
        mixed.sort(key=lambda pattern: pattern in shown)
    return tuple(mixed)


def _limits(blueprint: Blueprint) -> dict[str, int]:
    most = dict.fromkeys(PATTERNS, blueprint.questions)
    return {**most, **(blueprint.kinds or {})}


def _spread_keys(taken: Sequence[tuple[str, str]], book: RuleBook, seed: str, before: Seen) -> list[PaperItem]:
    """Give each question the first seed that is new to the person and keeps the letters balanced, else the best one."""
    so_far = _SoFar([book.rule(key) for key, _ in taken], before, int(TWO_OPTION_SHARE * len(taken)))
    for place, (key, pattern) in enumerate(taken):
        so_far.add(_best(book, PaperItem(pattern, key, f"{seed}/{place}"), so_far.cost))
    return [PaperItem(each.pattern, each.rule.key, each.seed) for each in _without_runs(so_far.made)]


def _best(book: RuleBook, item: PaperItem, cost: Callable[[Question], int]) -> Question:
    """The first question of a few seeds that costs nothing, else the cheapest."""
    rule = book.rule(item.rule)
    tried: list[tuple[int, int, Question]] = []
    tries = _TRIES if PATTERNS[item.pattern].fits_in is None else _TRIES_AMONG_RULES
    for attempt in range(tries):
        made = question(rule, item.pattern, f"{item.seed}/{attempt}", book)
        tried.append((cost(made), attempt, made))
        if not tried[-1][0]:
            break
    return min(tried, key=lambda each: each[:2])[2]


def mentions(sentence: str, number: str) -> bool:
    """Does the sentence say this number, not only as the end of a longer one?"""
    place = sentence.find(number)
    return place >= 0 and re.search(rf"(?<![\d.,:/\u00a0]){re.escape(number)}(?!\d)", sentence) is not None


def _near(rules: Iterable[Rule]) -> dict[str, set[str]]:
    """For each rule that one of these is confused with, the numbers that a question about it must not say."""
    numbers: defaultdict[str, set[str]] = defaultdict(set)
    for rule in rules:
        own = {number.words.en for number in (rule.value, rule.low, rule.high) if number is not None}
        for other in rule.confused_with:
            numbers[other] |= own
    return numbers


class _SoFar:
    """The questions of a paper made so far, and what one more would cost."""

    def __init__(self, rules: Sequence[Rule], before: Seen, two_options: int) -> None:
        self.made: list[Question] = []
        self.rules = {rule.key for rule in rules}
        self.near = _near(rules)
        self.before = before
        self.two_options = two_options
        self.letters: list[str] = []
        self.over: Counter[str] = Counter()

    def add(self, made: Question) -> None:
        """One more question."""
        self.made.append(made)
        if made.answer != "one":
            return
        self.letters.append(made.right)
        self.two_options -= len(made.options) == 2
        self.over[made.right] += _PARTS
        for option in made.options:
            self.over[option.letter] -= _PARTS // len(made.options)

    def cost(self, made: Question) -> int:
        """How unwelcome a question is.

        Shown before, or showing numbers of a rule that another question is about; one two-option question too many,
        a long run, a crowded letter.
        """
        near = any(mentions(made.stem.en, number) for number in self.near.get(made.rule.key, ()))
        told = near or not self.rules.isdisjoint(made.also)
        shown = 8 * (self.before.was_shown(made) + told)
        if made.answer != "one":
            return shown
        run = len(self.letters) >= LONGEST_RUN and set(self.letters[-LONGEST_RUN:]) == {made.right}
        one_more = len(made.options) == 2 and self.two_options <= 0
        return 16 * run + shown + 4 * one_more + self._crowded(made)

    def _crowded(self, made: Question) -> bool:
        """Whether its right letter was right more often than its share of the questions that offered it.

        Against its share, not against the other letters: `d` is offered seldom, and whoever knew that it catches up
        would choose it. Counted in parts of a question.
        """
        return self.over[made.right] > min(self.over[option.letter] for option in made.options) + _PARTS


def _without_runs(made: list[Question]) -> list[Question]:
    """The questions with two of them changing places where one letter would be right too often in a row."""
    for one, other in combinations(range(len(made)), 2):
        if not _has_run(made):
            break
        swapped = made.copy()
        swapped[one], swapped[other] = made[other], made[one]
        made = made if _has_run(swapped) else swapped
    return made


def _has_run(made: Sequence[Question]) -> bool:
    letters = [each.right for each in made if each.answer == "one"]
    return any(len(list(run)) > LONGEST_RUN for _, run in groupby(letters))
