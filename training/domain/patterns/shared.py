"""What all patterns share: the draft of a question, and the names of errors that no rule has to list."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from training.domain.chance import Chance
from training.domain.claims import Claim, holds
from training.domain.figures import Figure
from training.domain.kept import kept
from training.domain.rules import Rule, RuleBook
from training.domain.sums import Sum
from training.domain.text import Text, both


@dataclass(frozen=True)
class Choice:
    """One option before it has a letter: its words, what it claims, and the name of the error that makes it.

    With a figure, the words say what the drawing shows.
    """

    text: Text
    claim: Claim
    error: str = ""
    error_name: Text | None = None
    figure: Figure | None = None


@kept
def is_true(choice: Choice, rule: Rule) -> bool:
    """Does the rule agree with what the choice claims?"""
    return holds(rule, choice.claim)


@dataclass(frozen=True)
class Draft:
    """A question before its options get letters. `value` tells it apart from others of the same pattern and rule.

    part: which number of the rule is typed; sum: what is worked out and typed. figure: shown with the question.
    also: keys of other rules whose numbers it shows.
    """

    stem: Text
    choices: tuple[Choice, ...]
    value: str
    on_edge: bool = False
    part: str = ""
    sum: Sum | None = None
    figure: Figure | None = None
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pattern:
    """A kind of question. answer: `one` letter, `many` letters, `order` of letters, or a typed `number`.

    fits: can it ask the rule? A pattern that shows other rules too has `fits_in` and `make_in`, which take the book.
    """

    key: str
    answer: str
    fits: Callable[[Rule], bool] = lambda rule: False
    make: Callable[[Rule, Chance], Draft] | None = None
    fits_in: Callable[[Rule, RuleBook], bool] | None = None
    make_in: Callable[[Rule, Chance, RuleBook], Draft] | None = None

    def can_ask(self, rule: Rule, book: RuleBook | None) -> bool:
        """Can it ask this rule, with the help of this book?"""
        if self.fits_in is not None:
            return book is not None and self.fits_in(rule, book)
        return self.fits(rule)

    def draft(self, rule: Rule, chance: Chance, book: RuleBook | None) -> Draft:
        """Make one; only after `can_ask`."""
        if self.make_in is not None and book is not None:
            return self.make_in(rule, chance, book)
        assert self.make is not None
        return self.make(rule, chance)


def stem(rule: Rule, question: Text, **parts: Text) -> Text:
    """`Quantity: question?` with the parts put in; no sentence depends on the gender of the quantity."""

    def words(language: str) -> str:
        filled = {name: text[language] for name, text in parts.items()}
        return question[language].format_map({"quantity": rule.heading[language], **filled})

    return both(words)


def distinct(choices: Sequence[Choice]) -> list[Choice]:
    """The choices without those that read the same as an earlier one in any language."""
    kept: list[Choice] = []
    for choice in choices:
        if all(choice.text.en != other.text.en and choice.text.es != other.text.es for other in kept):
            kept.append(choice)
    return kept


def around(
    right: Choice, wrong: Sequence[Choice], many: int, size: Callable[[Choice], Any], chance: Chance
) -> tuple[Choice, ...]:
    """The right choice among `many` wrong ones, sorted by size.

    The place of the right one is drawn first: errors lie on both sides of it, so else it would mostly be the middle.
    """
    below = [choice for choice in wrong if size(choice) < size(right)]
    above = [choice for choice in wrong if size(choice) >= size(right)]
    place = chance.pick(range(max(0, many - len(above)), min(many, len(below)) + 1))
    return tuple(sorted([right, *chance.some(below, place), *chance.some(above, many - place)], key=size))
