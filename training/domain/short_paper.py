"""A short quiz on changed rules: up to two questions on each, and every one of them must be right."""

from collections.abc import Iterable

from training.domain.chance import Chance
from training.domain.errors import Refused
from training.domain.papers import Blueprint, Paper, PaperItem, Seen
from training.domain.questions import patterns_for, question
from training.domain.rules import Rule, RuleBook

QUESTIONS_A_RULE = 2
_TRIES = 12


def can_be_asked(rule: Rule) -> bool:
    """Is there a kind of question about this rule?"""
    return bool(patterns_for(rule))


def draw_short(book: RuleBook, rules: Iterable[str], seed: str, seen: Iterable[PaperItem] = ()) -> Paper:
    """Draw it from the revision with the changes. `seen`: items of earlier papers, avoided where possible.

    Same arguments, same paper. Raises `Refused` when nothing can be asked about these rules.
    """
    before, chance = Seen.of(book, seen), Chance(f"short/{seed}")
    items = [
        _item(rule, pattern, f"{seed}/{rule.key}", before)
        for rule in (book.rule(key) for key in dict.fromkeys(rules) if book.has(key))
        for pattern in chance.some(patterns_for(rule), QUESTIONS_A_RULE)
    ]
    if not items:
        raise Refused("quiz.nothing_to_ask")
    return Paper(seed, tuple(chance.shuffled(items)))


def _item(rule: Rule, pattern: str, seed: str, before: Seen) -> PaperItem:
    """The first question that is new to the person, else the last one tried."""
    for attempt in range(_TRIES):
        made = question(rule, pattern, f"{seed}/{attempt}")
        if not before.was_shown(made):
            break
    return PaperItem(pattern, rule.key, made.seed)


def all_right(questions: int) -> Blueprint:
    """What passes a short quiz: everything right."""
    return Blueprint(questions, questions, {})
