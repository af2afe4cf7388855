"""A question is a pure function of (pattern, rule, seed), in every language; a page may show only its `PublicQuestion`.

Same three in, same question out, for years: a sitting keeps only them and can be shown or marked again. Kinds that
show other rules too (`find-fault`) also take the book; a sitting knows its revision. Answers: see `answers`.
"""

from dataclasses import dataclass

from training.domain.chance import Chance
from training.domain.claims import Claim, Sequence
from training.domain.errors import NotFound, Refused
from training.domain.figures import Figure
from training.domain.kept import kept
from training.domain.patterns import PATTERNS, Draft, Pattern
from training.domain.patterns.shared import is_true
from training.domain.rules import Rule, RuleBook
from training.domain.sums import Sum, solve
from training.domain.text import Text, both
from training.domain.unit_table import UNITS
from training.domain.units import Measure, example, show, stored_number

LETTERS = "abcdefgh"


@dataclass(frozen=True)
class PublicOption:
    """One option as a page may show it. With a figure, the text says what the drawing shows."""

    letter: str
    text: str
    figure: Figure | None = None


@dataclass(frozen=True)
class PublicQuestion:
    """A question as it may leave the server before marking: no key, no errors, no rule, not even inside.

    answer: `one` (send a letter), `many` (send every letter that applies, as `a,c`), `order` (send the letters in
    order, as `b,a,c`) or `number` (send what was typed).
    example: how a typed number could look; it says nothing about the right one. figure: a drawing beside the question.
    """

    answer: str
    language: str
    stem: str
    options: tuple[PublicOption, ...]
    example: Measure | None
    figure: Figure | None = None


@dataclass(frozen=True)
class Option:
    """One option: letter, words, what it claims, whether the rule agrees, and the error that makes it when wrong."""

    letter: str
    text: Text
    claim: Claim
    right: bool
    error: str
    error_name: Text | None
    figure: Figure | None = None


@dataclass(frozen=True)
class Question:
    """The full question with its key. Never give it to a template before marking; give `public(language)`.

    true: the number to type. sum: what makes it, where it is not simply the rule's `part`.
    also: keys of other rules whose numbers it shows.
    """

    pattern: str
    rule: Rule
    seed: str
    answer: str
    stem: Text
    options: tuple[Option, ...]
    right: str
    value: str
    on_edge: bool
    part: str
    true: Measure | None = None
    sum: Sum | None = None
    figure: Figure | None = None
    also: tuple[str, ...] = ()

    @property
    def critical(self) -> bool:
        """Must this one be right to pass?"""
        return self.rule.critical

    @property
    def topic(self) -> str:
        """The key of the rule's topic."""
        return self.rule.topic

    @property
    def why(self) -> Text:
        """Why the rule matters, with its numbers."""
        return self.rule.say(self.rule.why)

    def public(self, language: str) -> PublicQuestion:
        """The part that may be shown before marking, in one language. Letters are the same in every language."""
        options = tuple(PublicOption(option.letter, option.text[language], option.figure) for option in self.options)
        hint = example(self.true.unit) if self.true is not None else None
        return PublicQuestion(self.answer, language, self.stem[language], options, hint, self.figure)

    def option(self, letter: str) -> Option | None:
        """The option of that letter, if there is one."""
        return next((option for option in self.options if option.letter == letter), None)

    def said(self, answer: str) -> Text | None:
        """An answer in words: the option, the acts in order, or the typed measure; None when empty or unreadable."""
        if self.answer == "number":
            typed = stored_measure(answer)
            return both(lambda language: show(typed, language)) if typed else None
        found = [self.option(letter) for letter in answer.split(",")] if answer else []
        texts = [option.text for option in found if option is not None]
        if not texts or len(texts) != len(found):
            return None
        between = " → " if self.answer == "order" else "; "
        return both(lambda language: between.join(text[language] for text in texts))

    def picked(self, answer: str) -> tuple[Option, ...]:
        """The options of an answer, in its order; none for a typed number."""
        found = (self.option(letter) for letter in answer.split(","))
        return tuple(option for option in found if option is not None)


def question(rule: Rule, pattern: str, seed: str, book: RuleBook | None = None) -> Question:
    """Make the question; `NotFound` for an unknown pattern, `Refused` when the rule cannot be asked so."""
    kind = _pattern(pattern)
    if pattern not in patterns_for(rule, book):
        raise Refused("question.does_not_fit", rule=rule.key, pattern=pattern)
    draft = kind.draft(rule, Chance(f"{pattern}/{rule.key}/{seed}"), book)
    options = _options(rule, kind, draft)
    true = _true(rule, draft) if kind.answer == "number" else None
    return Question(pattern, rule, seed, kind.answer, draft.stem, options, _key(rule, kind, true, options),
                    draft.value, draft.on_edge, draft.part, true, draft.sum, draft.figure, draft.also)  # fmt: skip


@kept
def patterns_for(rule: Rule, book: RuleBook | None = None) -> tuple[str, ...]:
    """The patterns that can ask about this rule; those that show other rules too only with the book."""
    return tuple(key for key, pattern in PATTERNS.items() if pattern.can_ask(rule, book))


def _pattern(key: str) -> Pattern:
    if key not in PATTERNS:
        raise NotFound("question.no_such_pattern", pattern=key)
    return PATTERNS[key]


def _options(rule: Rule, kind: Pattern, draft: Draft) -> tuple[Option, ...]:
    return tuple(
        Option(
            letter,
            choice.text,
            choice.claim,
            kind.answer in ("one", "many") and is_true(choice, rule),
            choice.error,
            choice.error_name,
            choice.figure,
        )
        for letter, choice in zip(LETTERS, draft.choices, strict=False)
    )


def _true(rule: Rule, draft: Draft) -> Measure:
    """The number that is right to type."""
    if draft.sum is None:
        found: Measure = getattr(rule, draft.part)
        return found
    assert rule.value is not None
    return solve(rule.value, draft.sum)


def _key(rule: Rule, kind: Pattern, true: Measure | None, options: tuple[Option, ...]) -> str:
    """The right answer as it is sent: letters, or a stored measure."""
    if true is not None:
        return store_measure(true)
    if kind.answer == "order":
        place = {act.key: number for number, act in enumerate(rule.acts)}
        return ",".join(option.letter for option in sorted(options, key=lambda option: place[act_of(option)]))
    right = [option.letter for option in options if option.right]
    if len(right) != 1 and not (kind.answer == "many" and 0 < len(right) < len(options)):
        raise Refused("question.not_one_right", rule=rule.key, pattern=kind.key, found=len(right))
    return ",".join(right)


def act_of(option: Option) -> str:
    """The act that an option of an order question stands for."""
    assert isinstance(option.claim, Sequence)
    return option.claim.acts[0]


# --- keeping a measure as an answer --------------------------------------------------------------------------------


def store_measure(measure: Measure) -> str:
    """A measure as an answer keeps it: `3/2 in`, the same whatever language it was typed in."""
    return f"{measure.value} {measure.unit}"


def stored_measure(stored: str) -> Measure | None:
    """Read it back; None when it is none."""
    number, _, unit = stored.rpartition(" ")
    try:
        return Measure(stored_number(number), unit) if unit in UNITS else None
    except ValueError:
        return None
