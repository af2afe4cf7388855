"""Marks a sitting by the rules: in total, by topic and by critical question. Marking again gives the same."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from training.domain.answers import error_name, is_right
from training.domain.figures import Figure
from training.domain.papers import Blueprint, Paper
from training.domain.questions import Question
from training.domain.rules import Rule, RuleBook
from training.domain.text import Text


@dataclass(frozen=True)
class Miss:
    """One question that was not right. `number` counts from 1; `answer` is empty and `said` None when left out."""

    number: int
    rule: Rule
    question: Question
    answer: str
    said: Text | None
    error: Text | None

    @property
    def critical(self) -> bool:
        """Did this miss alone decide against passing, where all critical ones must be right?"""
        return self.rule.critical

    @property
    def right(self) -> Text | None:
        """The right answer in words."""
        return self.question.said(self.question.right)

    @property
    def drawings(self) -> tuple[Figure, ...]:
        """The drawings that were chosen, where options are drawings."""
        return _figures(self.question, self.answer)

    @property
    def right_drawings(self) -> tuple[Figure, ...]:
        """The drawing that was right, where options are drawings."""
        return _figures(self.question, self.question.right)

    @property
    def why(self) -> Text:
        """Why the rule matters."""
        return self.question.why


def _figures(asked: Question, answer: str) -> tuple[Figure, ...]:
    return tuple(option.figure for option in asked.picked(answer) if option.figure is not None)


@dataclass(frozen=True)
class Result:
    """What a sitting came to. by_topic: topic -> (right, of), topics in the order of the paper."""

    right: int
    of: int
    passed: bool
    critical_missed: tuple[str, ...]
    by_topic: Mapping[str, tuple[int, int]]
    misses: tuple[Miss, ...]


def mark(
    questions: Sequence[Question],
    answers: Mapping[int, str],
    blueprint: Blueprint,
    right_places: Collection[int] | None = None,
) -> Result:
    """Mark kept answers, by place from 0; a place without an answer is wrong, a place outside the paper is ignored.

    right_places: the places that count as right, where somebody else has judged them.
    """
    misses: list[Miss] = []
    right: Counter[str] = Counter()
    of: Counter[str] = Counter()
    for place, asked in enumerate(questions):
        answer = answers.get(place, "")
        of[asked.topic] += 1
        if is_right(asked, answer, blueprint.order) if right_places is None else place in right_places:
            right[asked.topic] += 1
        else:
            misses.append(_miss(place, asked, answer))
    critical = tuple(miss.rule.key for miss in misses if miss.critical)
    total = len(questions) - len(misses)
    passed = total >= blueprint.pass_right and not (blueprint.all_critical and critical)
    by_topic = {topic: (right[topic], of[topic]) for topic in of}
    return Result(total, len(questions), passed, critical, by_topic, tuple(misses))


def mark_paper(paper: Paper, book: RuleBook, answers: Mapping[int, str], blueprint: Blueprint) -> Result:
    """Mark a stored paper on the book revision it was drawn from, now or years later."""
    return mark(paper.questions(book), answers, blueprint)


def _miss(place: int, asked: Question, answer: str) -> Miss:
    return Miss(place + 1, asked.rule, asked, answer, asked.said(answer), error_name(asked, answer))
