"""Draws a paper: so many questions from each topic, enough critical ones, no rule twice, keys spread over the letters.

A paper is (seed, items), an item is (pattern, rule, seed): it can be shown and marked again on its book revision.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import combinations, groupby

from training.domain.chance import Chance
from training.domain.errors import NotFound, Refused
from training.domain.json_reading import Fault, FileFaults, Node
from training.domain.patterns import PATTERNS
from training.domain.questions import Question, patterns_for, question
from training.domain.rules import Rule, RuleBook
from training.domain.seats import Seat, fill_seats

FORMAT = "headlap-paper/1"
TWO_OPTION_SHARE = Fraction(1, 5)
LONGEST_RUN = 3
_TRIES = 12


@dataclass(frozen=True)
class Blueprint:
    """What every paper must hold: how many questions, from which topics, how many critical, and what passes.

    kinds: most questions of a pattern. all_critical: every critical question must be right to pass.
    """

    questions: int
    pass_right: int
    topics: Mapping[str, int]
    critical_at_least: int = 0
    all_critical: bool = True
    kinds: Mapping[str, int] | None = None

    @classmethod
    def parse(cls, data: object) -> "Blueprint":
        """Read it from JSON; raises `FileFaults` with each place and remedy."""
        faults: list[Fault] = []
        node = Node(data, "blueprint", faults)
        node.only(("questions", "pass_right", "all_critical", "topics", "critical_at_least", "kinds"))
        blueprint = cls(
            node.whole("questions", least=1), node.whole("pass_right", least=1), _counts(node, "topics"),
            node.whole("critical_at_least", 0), node.flag("all_critical", True), _counts(node, "kinds") or None,
        )  # fmt: skip
        blueprint._check(node)
        if faults:
            raise FileFaults(faults)
        return blueprint

    def _check(self, node: Node) -> None:
        asked = sum(self.topics.values())
        if asked != self.questions:
            node.fault("blueprint.topics_do_not_add_up", "topics", asked=asked, questions=self.questions)
        for name, number in (("pass_right", self.pass_right), ("critical_at_least", self.critical_at_least)):
            if number > self.questions:
                node.fault("blueprint.more_than_questions", name, number=number, questions=self.questions)
        for kind in (self.kinds or {}).keys() - PATTERNS.keys():
            node.fault("file.unknown_choice", f"kinds.{kind}", given=kind, known=sorted(PATTERNS))


def _counts(node: Node, name: str) -> dict[str, int]:
    inner = Node(node.mapping(name), f"{node.place}.{name}", node.faults)
    return {key: inner.whole(key) for key in inner.data}


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
        return tuple(question(book.rule(item.rule), item.pattern, item.seed) for item in self.items)

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
                asked.append(question(book.rule(item.rule), item.pattern, item.seed))
            except (NotFound, Refused):
                continue
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
    rules = book.rules if scopes is None else tuple(book.about(scopes))
    before = Seen.of(book, seen)
    chance = Chance(f"paper/{seed}")
    seats = [
        Seat(rule.key, topic, rule.critical, _kinds(rule, before, chance))
        for topic in blueprint.topics
        for rule in _by_freshness([rule for rule in rules if rule.topic == topic], before, chance)
    ]
    taken = fill_seats(seats, blueprint.topics, _limits(blueprint), blueprint.critical_at_least)
    items = _spread_keys(chance.shuffled(taken), book, seed, before)
    return Paper(seed, tuple(items))


def _by_freshness(rules: Sequence[Rule], before: Seen, chance: Chance) -> list[Rule]:
    """In a random order, the ones least often shown to this person first."""
    return sorted(chance.shuffled(rules), key=lambda rule: before.rules[rule.key])


def _kinds(rule: Rule, before: Seen, chance: Chance) -> tuple[str, ...]:
    """The patterns that can ask about the rule, in a random order, the ones not shown yet first."""
    shown = {pattern for pattern, key, _ in before.values if key == rule.key}
    return tuple(sorted(chance.shuffled(patterns_for(rule)), key=lambda pattern: pattern in shown))


def _limits(blueprint: Blueprint) -> dict[str, int]:
    most = dict.fromkeys(PATTERNS, blueprint.questions)
    return {**most, **(blueprint.kinds or {})}


def _spread_keys(taken: Sequence[tuple[str, str]], book: RuleBook, seed: str, before: Seen) -> list[PaperItem]:
    """Give each question the first seed that is new to the person and keeps the letters balanced, else the best one."""
    made: list[Question] = []
    two_options = int(TWO_OPTION_SHARE * len(taken))
    for place, (key, pattern) in enumerate(taken):
        best = _best(
            book.rule(key),
            pattern,
            f"{seed}/{place}",
            partial(_cost, made_before=tuple(made), before=before, two_options=two_options),
        )
        made.append(best)
        two_options -= best.answer == "one" and len(best.options) == 2
    return [PaperItem(each.pattern, each.rule.key, each.seed) for each in _without_runs(made)]


def _best(rule: Rule, pattern: str, seed: str, cost: Callable[[Question], int]) -> Question:
    """The first question of a few seeds that costs nothing, else the cheapest."""
    tried: list[tuple[int, int, Question]] = []
    for attempt in range(_TRIES):
        made = question(rule, pattern, f"{seed}/{attempt}")
        tried.append((cost(made), attempt, made))
        if not tried[-1][0]:
            break
    return min(tried, key=lambda each: each[:2])[2]


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


def _cost(made: Question, made_before: Sequence[Question], before: Seen, two_options: int) -> int:
    """How unwelcome a question is: shown before, one two-option question too many, a long run, a crowded letter."""
    shown = 8 * before.was_shown(made)
    if made.answer != "one":
        return shown
    lettered = [each for each in made_before if each.answer == "one"]
    run = len(lettered) >= LONGEST_RUN and {each.right for each in lettered[-LONGEST_RUN:]} == {made.right}
    return 16 * run + shown + 4 * (len(made.options) == 2 and two_options <= 0) + _crowded(made, lettered)


def _crowded(made: Question, lettered: Sequence[Question]) -> bool:
    """Whether its right letter was right more often than its share of the questions that offered it.

    Against its share, not against the other letters: `d` is offered seldom, and whoever knew that it catches up
    would choose it.
    """
    over: dict[str, Fraction] = defaultdict(Fraction)
    for each in lettered:
        over[each.right] += 1
        for option in each.options:
            over[option.letter] -= Fraction(1, len(each.options))
    return over[made.right] > min(over[option.letter] for option in made.options) + 1
