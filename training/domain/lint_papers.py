"""Checks that only a whole paper, two papers of one person, or the pool behind them can have."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from itertools import combinations

from training.domain.blueprint import Blueprint
from training.domain.lint import Finding
from training.domain.papers import LONGEST_RUN, TWO_OPTION_SHARE, Seen, draw, mentions
from training.domain.questions import Question, patterns_for
from training.domain.rules import RuleBook

FEWEST_NUMBERS = 6
FEWEST_LETTERS = 8
MOST_OF_A_LETTER = Fraction(3, 5)
PAPERS_IN_POOL = 3
_SORTED = ("choose-value", "choose-slope")


def lint_paper(questions: Sequence[Question]) -> Iterator[Finding]:
    """Faults of one paper."""
    letters = [made.right for made in questions if made.answer == "one"]
    for place in range(len(letters) - LONGEST_RUN):
        if len(set(letters[place : place + LONGEST_RUN + 1])) == 1:
            yield Finding("W12", "", detail=letters[place])
    for letter, times in Counter(letters).items():
        if len(letters) >= FEWEST_LETTERS and times > MOST_OF_A_LETTER * len(letters):
            yield Finding("W12", "", detail=f"{letter}: {times} of {len(letters)}")
    two = [made for made in questions if len(made.options) == 2]
    if len(two) > TWO_OPTION_SHARE * len(questions):
        yield Finding("W17", "", detail=str(len(two)))
    for key, times in Counter(made.rule.key for made in questions).items():
        if times > 1:
            yield Finding("W19", key)
    yield from _ranks(questions)
    yield from _told(questions)


def _ranks(questions: Sequence[Question]) -> Iterator[Finding]:
    """Among sorted numbers, the right one must not always lie in the middle, nor always at an end."""
    numbers = [made for made in questions if made.pattern in _SORTED and len(made.options) > 2]
    ends = {made.right in (made.options[0].letter, made.options[-1].letter) for made in numbers}
    if len(numbers) >= FEWEST_NUMBERS and len(ends) == 1:
        yield Finding("W11", "", detail="at the ends" if ends.pop() else "in the middle")


def _told(questions: Sequence[Question]) -> Iterator[Finding]:
    """One question shows numbers of the rule that another asks, or says its answer about a rule people confuse."""
    for one, other in combinations(questions, 2):
        for teller, asked in ((one, other), (other, one)):
            if asked.rule.key in teller.also or _says(teller, asked):
                yield Finding("E16", asked.rule.key, asked.pattern, asked.seed, detail=teller.rule.key)


def _says(teller: Question, asked: Question) -> bool:
    near = teller.rule.key == asked.rule.key or teller.rule.key in asked.rule.confused_with
    right = asked.said(asked.right) if near else None
    return right is not None and mentions(teller.stem.en, right.en)


def lint_retake(earlier: Sequence[Question], later: Sequence[Question]) -> Iterator[Finding]:
    """Questions and answers of a pattern that come again, where the pool would have had others."""
    seen = Seen.of_questions(earlier)
    for made in later:
        if seen.was_shown(made):
            yield Finding("E21", made.rule.key, made.pattern, made.seed, detail=made.value)


def lint_pool(blueprint: Blueprint, book: RuleBook, scopes: Collection[str] | None = None) -> Iterator[Finding]:
    """Topics with fewer rules to ask about than three papers would need."""
    rules = book.rules if scopes is None else tuple(book.about(scopes))
    have = Counter(rule.topic for rule in rules if patterns_for(rule, book))
    for topic, wanted in blueprint.topics.items():
        if have[topic] < PAPERS_IN_POOL * wanted:
            yield Finding("W21", topic, detail=f"{have[topic]} < {PAPERS_IN_POOL * wanted}")


def lint_draws(blueprint: Blueprint, book: RuleBook, seeds: Sequence[str]) -> Iterator[Finding]:
    """Faults of the pool, of papers drawn from it, and of a second try after each where the pool allows one."""
    small = list(lint_pool(blueprint, book))
    yield from small
    topics = {finding.rule for finding in small}
    for seed in seeds:
        first = draw(blueprint, book, seed)
        again = draw(blueprint, book, f"{seed}/again", first.items).questions(book)
        questions = first.questions(book)
        yield from lint_paper(questions)
        yield from lint_retake(questions, [made for made in again if made.topic not in topics])
