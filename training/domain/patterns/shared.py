"""What all patterns share: the draft of a question, and the names of errors that no rule has to list."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from training.domain.chance import Chance
from training.domain.claims import Claim
from training.domain.rules import Rule
from training.domain.text import Text, both, capital


@dataclass(frozen=True)
class Choice:
    """One option before it has a letter: its words, what it claims, and the name of the error that makes it."""

    text: Text
    claim: Claim
    error: str = ""
    error_name: Text | None = None


@dataclass(frozen=True)
class Draft:
    """A question before its options get letters. `value` tells it apart from others of the same pattern and rule."""

    stem: Text
    choices: tuple[Choice, ...]
    value: str
    on_edge: bool = False
    part: str = ""


@dataclass(frozen=True)
class Pattern:
    """A kind of question. answer: `one` letter, `order` of letters, or a typed `number`. fits: can it ask the rule?"""

    key: str
    answer: str
    fits: Callable[[Rule], bool]
    make: Callable[[Rule, Chance], Draft]


def stem(rule: Rule, question: Text, **parts: Text) -> Text:
    """`Quantity: question?` with the parts put in; no sentence depends on the gender of the quantity."""

    def words(language: str) -> str:
        filled = {name: text[language] for name, text in parts.items()}
        asked = question[language].format_map({"quantity": capital(rule.quantity[language]), **filled})
        return capital(asked)

    return both(words)


def distinct(choices: Sequence[Choice]) -> list[Choice]:
    """The choices without those that read the same as an earlier one in any language."""
    kept: list[Choice] = []
    for choice in choices:
        if all(choice.text.en != other.text.en and choice.text.es != other.text.es for other in kept):
            kept.append(choice)
    return kept
