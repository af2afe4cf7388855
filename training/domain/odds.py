"""Chances of a quiz, exact where the arithmetic allows: guessing, partial knowledge, several tries, shared questions.

Elementary probability (binomial, Poisson-binomial, hypergeometric) unless a source is named beside the formula.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import permutations

from training.domain.answers import ALL_OR_NOTHING, OrderPolicy, longest_run
from training.domain.blueprint import Blueprint
from training.domain.papers import draw
from training.domain.questions import Question, patterns_for
from training.domain.rules import RuleBook

TRUE_SHARES = tuple(Fraction(n, 20) for n in range(10, 20))
"""Shares of the subject that somebody may know: .50, .55 and so on to .95."""
SAMPLE = 20


# --- right answers in one paper -----------------------------------------------------------------------------------


def right_counts(shares: Sequence[Fraction]) -> list[Fraction]:
    """Chance of 0, 1, 2 ... right answers when each question has its own chance (Poisson-binomial)."""
    counts = [Fraction(1)]
    for share in shares:
        stay = [count * (1 - share) for count in counts] + [Fraction(0)]
        move = [Fraction(0)] + [count * share for count in counts]
        counts = [one + other for one, other in zip(stay, move, strict=True)]
    return counts


def chance_to_pass(shares: Sequence[Fraction], cut: int, critical: Sequence[bool] = ()) -> Fraction:
    """Chance of at least `cut` right answers; questions marked critical must all be right as well."""
    marked = list(critical) or [False] * len(shares)
    must = [share for share, needed in zip(shares, marked, strict=True) if needed]
    free = [share for share, needed in zip(shares, marked, strict=True) if not needed]
    return math.prod(must, start=Fraction(1)) * sum(right_counts(free)[max(0, cut - len(must)) :], Fraction(0))


def chance_with_share(true: Fraction, blueprint: Blueprint) -> Fraction:
    """Chance to pass for somebody who knows this share of everything, critical questions included."""
    needed = blueprint.critical_at_least if blueprint.all_critical else 0
    critical = [place < needed for place in range(blueprint.questions)]
    return chance_to_pass([true] * blueprint.questions, blueprint.pass_right, critical)


def in_tries(chance: Fraction, tries: int) -> Fraction:
    """Chance to pass at least once in so many fresh tries."""
    return 1 - (1 - chance) ** tries


# --- guessing -----------------------------------------------------------------------------------------------------


def guess_share(asked: Question, policy: OrderPolicy = ALL_OR_NOTHING) -> Fraction:
    """Chance to guess one question blindly.

    One option of n: 1/n. Many of n: one of the sets that are neither empty nor all. Orders: those that the policy
    takes for right. A typed number is not guessed: 0.
    """
    n = len(asked.options)
    match asked.answer:
        case "one":
            return Fraction(1, n)
        case "many":
            return Fraction(1, 2**n - 2)
        case "order":
            return _order_share(n, policy.run_share)
        case _:
            return Fraction(0)


def _order_share(acts: int, run_share: Fraction) -> Fraction:
    right = [str(act) for act in range(acts)]
    taken = sum(longest_run(list(given), right) >= run_share * acts for given in permutations(right))
    return Fraction(taken, math.factorial(acts))


def chance_by_guessing(questions: Sequence[Question], blueprint: Blueprint) -> Fraction:
    """Chance to pass this paper by blind guessing, exact."""
    shares = [guess_share(asked, blueprint.order) for asked in questions]
    critical = [asked.critical and blueprint.all_critical for asked in questions]
    return chance_to_pass(shares, blueprint.pass_right, critical)


@dataclass(frozen=True)
class Guessing:
    """Blind guessing over papers drawn to one blueprint, as their options differ: mean, least and greatest chance."""

    mean: Fraction
    least: Fraction
    most: Fraction
    papers: int


def guessing(blueprint: Blueprint, book: RuleBook, papers: int = SAMPLE) -> Guessing:
    """The chances over so many papers; exact for each. Raises `Refused` when the blueprint cannot be filled."""
    drawn = (draw(blueprint, book, f"odds/{paper}").questions(book) for paper in range(papers))
    chances = [chance_by_guessing(questions, blueprint) for questions in drawn]
    return Guessing(sum(chances, Fraction(0)) / papers, min(chances), max(chances), papers)


# --- what a result says -------------------------------------------------------------------------------------------


def conditional_error(right: int, of: int) -> float:
    """Standard error of a number of right answers (Lord 1955, Educational and Psychological Measurement 15:325)."""
    return math.sqrt(right * (of - right) / (of - 1))


def chance_of_share(share: Fraction, right: int, of: int) -> Fraction:
    """Chance that the true share is at least this, after so many right of so many, all shares equally likely before.

    The posterior is Beta(right + 1, of - right + 1); its upper tail is a binomial lower tail, so it is exact.
    """
    return sum(right_counts([share] * (of + 1))[: right + 1], Fraction(0))


def most_bad(sound: int, confidence: Fraction = Fraction(19, 20)) -> float:
    """Upper bound of the share of bad ones when so many were looked at and all were sound: 1 - (1 - c)^(1/n)."""
    return float(1 - float(1 - confidence) ** (1 / sound))


# --- papers and their pool ----------------------------------------------------------------------------------------


def shared_questions(pool: int, first: int, second: int) -> list[Fraction]:
    """Chance that two random papers from one pool share 0, 1, 2 ... questions (hypergeometric)."""
    ways = math.comb(pool, second)
    most = min(first, second)
    return [Fraction(math.comb(first, n) * math.comb(pool - first, second - n), ways) for n in range(most + 1)]


def expected_shared(pool: int, first: int, second: int) -> Fraction:
    """How many questions two random papers share on average."""
    return Fraction(first * second, pool)


@dataclass(frozen=True)
class TopicPool:
    """What a topic offers a blueprint: rules to ask about, how many are critical, kinds of question among them.

    papers: how many whole papers without a rule twice. shared: rules that two random papers share on average.
    """

    topic: str
    wanted: int
    rules: int
    critical: int
    kinds: int

    @property
    def papers(self) -> int:
        return self.rules // self.wanted if self.wanted else 0

    @property
    def shared(self) -> Fraction:
        return expected_shared(self.rules, self.wanted, self.wanted) if self.rules else Fraction(0)


def pools(blueprint: Blueprint, book: RuleBook) -> tuple[TopicPool, ...]:
    """The pool of each topic of the blueprint."""
    return tuple(_pool(topic, wanted, book) for topic, wanted in blueprint.topics.items())


def _pool(topic: str, wanted: int, book: RuleBook) -> TopicPool:
    kinds = {rule: patterns_for(rule, book) for rule in book.by_topic.get(topic, ())}
    asked = [rule for rule, patterns in kinds.items() if patterns]
    return TopicPool(topic, wanted, len(asked), sum(rule.critical for rule in asked), sum(map(len, kinds.values())))


@dataclass(frozen=True)
class Outlook:
    """What an officer should see before a blueprint is issued. by_share: true share -> (one try, all tries)."""

    guessing: Guessing
    by_share: Mapping[Fraction, tuple[Fraction, Fraction]]
    cut_error: float
    pools: tuple[TopicPool, ...]

    @property
    def shared(self) -> Fraction:
        """Rules that two random papers share on average."""
        return sum((pool.shared for pool in self.pools), Fraction(0))


def outlook(blueprint: Blueprint, book: RuleBook, tries: int = 3, shares: Iterable[Fraction] = TRUE_SHARES) -> Outlook:
    """All of it for one blueprint and book."""
    passes = {share: chance_with_share(share, blueprint) for share in shares}
    return Outlook(
        guessing(blueprint, book),
        {share: (chance, in_tries(chance, tries)) for share, chance in passes.items()},
        conditional_error(blueprint.pass_right, blueprint.questions),
        pools(blueprint, book),
    )
