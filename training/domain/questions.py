"""A question is a pure function of (pattern, rule, seed), in every language; a page may show only its `PublicQuestion`.

Same three in, same question out, for years: a sitting keeps only them and can be shown or marked again.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from training.domain.chance import Chance
from training.domain.claims import Claim, Sequence, StatedLimit, agrees, holds
from training.domain.errors import BadInput, NotFound, Refused
from training.domain.patterns import PATTERNS, Draft, Pattern
from training.domain.rules import Rule
from training.domain.text import Text, both
from training.domain.unit_table import UNITS
from training.domain.units import Measure, example, parse_measure, show, stored_number

LETTERS = "abcdefgh"
_ROUNDING_SHARE = Fraction(2, 100)
_ROUNDING_DEGREES = Fraction(1)
WRONG_UNIT = Text("The number is right but the unit is not.", "El número es correcto, pero la unidad no.")
WRONG_ORDER = Text("“{first}” comes before “{second}”.", "«{first}» va antes de «{second}».")


@dataclass(frozen=True)
class PublicOption:
    """One option as a page may show it."""

    letter: str
    text: str


@dataclass(frozen=True)
class PublicQuestion:
    """A question as it may leave the server before marking: no key, no errors, no rule, not even inside.

    answer: `one` (send a letter), `order` (send the letters in order, as `b,a,c`) or `number` (send what was typed).
    example: how a typed number could look; it says nothing about the right one.
    """

    answer: str
    language: str
    stem: str
    options: tuple[PublicOption, ...]
    example: Measure | None


@dataclass(frozen=True)
class Option:
    """One option: letter, words, what it claims, whether the rule agrees, and the error that makes it when wrong."""

    letter: str
    text: Text
    claim: Claim
    right: bool
    error: str
    error_name: Text | None


@dataclass(frozen=True)
class Question:
    """The full question with its key. Never give it to a template before marking; give `public(language)`."""

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
        options = tuple(PublicOption(option.letter, option.text[language]) for option in self.options)
        hint = example(self.rule.unit) if self.answer == "number" else None
        return PublicQuestion(self.answer, language, self.stem[language], options, hint)

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
        return both(lambda language: " → ".join(text[language] for text in texts))


def question(rule: Rule, pattern: str, seed: str) -> Question:
    """Make the question; `NotFound` for an unknown pattern, `Refused` when the rule cannot be asked so."""
    kind = _pattern(pattern)
    if pattern not in patterns_for(rule):
        raise Refused("question.does_not_fit", rule=rule.key, pattern=pattern)
    draft = kind.make(rule, Chance(f"{pattern}/{rule.key}/{seed}"))
    options = _options(rule, kind, draft)
    return Question(pattern, rule, seed, kind.answer, draft.stem, options, _key(rule, kind, draft, options),
                    draft.value, draft.on_edge, draft.part)  # fmt: skip


@lru_cache(maxsize=4096)
def patterns_for(rule: Rule) -> tuple[str, ...]:
    """The patterns that can ask about this rule."""
    return tuple(key for key, pattern in PATTERNS.items() if pattern.fits(rule))


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
            kind.answer == "one" and holds(rule, choice.claim),
            choice.error,
            choice.error_name,
        )
        for letter, choice in zip(LETTERS, draft.choices, strict=False)
    )


def _key(rule: Rule, kind: Pattern, draft: Draft, options: tuple[Option, ...]) -> str:
    """The right answer as it is sent: a letter, letters in order, or a stored measure."""
    if kind.answer == "number":
        return store_measure(getattr(rule, draft.part))
    if kind.answer == "order":
        place = {act.key: number for number, act in enumerate(rule.acts)}
        return ",".join(option.letter for option in sorted(options, key=lambda option: place[_act(option)]))
    right = [option.letter for option in options if option.right]
    if len(right) != 1:
        raise Refused("question.not_one_right", rule=rule.key, pattern=kind.key, found=len(right))
    return right[0]


def _act(option: Option) -> str:
    assert isinstance(option.claim, Sequence)
    return option.claim.acts[0]


# --- answers --------------------------------------------------------------------------------------------------


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


def accept_answer(asked: Question, sent: str, language: str = "en") -> str:
    """What a form sent, in the form in which an answer is kept; empty stays empty (not answered).

    Raises `BadInput` when it is none of the letters, not all of them once, or no measure of the right kind.
    """
    sent = sent.strip()
    if not sent:
        return ""
    if asked.answer == "number":
        return store_measure(parse_measure(sent, asked.rule.unit, language))
    letters = sent.replace(" ", "").split(",")
    known = [option.letter for option in asked.options]
    if asked.answer == "order" and sorted(letters) != known:
        raise BadInput("question.each_once")
    if asked.answer == "one" and (len(letters) != 1 or letters[0] not in known):
        raise BadInput("question.no_such_option")
    return ",".join(letters)


def is_right(asked: Question, answer: str) -> bool:
    """Is the kept answer right, by the rule itself? Not answered is not right."""
    if asked.answer == "number":
        typed = stored_measure(answer)
        return typed is not None and _typed_right(asked, typed)
    if asked.answer == "order":
        picked = [asked.option(letter) for letter in answer.split(",")]
        acts = tuple(_act(option) for option in picked if option is not None)
        return len(acts) == len(picked) == len(asked.options) and holds(asked.rule, Sequence(acts))
    chosen = asked.option(answer)
    return chosen is not None and chosen.right


def _typed_right(asked: Question, typed: Measure) -> bool:
    """Right within the rule's tolerance; in another unit also when only its rounding differs (21 °C for 70 °F)."""
    rule, true = asked.rule, getattr(asked.rule, asked.part)
    if holds(rule, StatedLimit(typed, asked.part)):
        return True
    if typed.kind != true.kind or typed.unit == true.unit:
        return False
    near = true.to(typed.unit).value
    most = _ROUNDING_DEGREES if typed.kind == "temperature" else abs(near) * _ROUNDING_SHARE
    return bool(abs(typed.value - near) <= min(_half_last_place(typed.value), most))


def _half_last_place(value: Fraction) -> Fraction:
    """Half of the last decimal place somebody wrote; nothing for a fraction such as 1/3."""
    for places in range(4):
        if (value * 10**places).denominator == 1:
            return Fraction(1, 2 * 10**places)
    return Fraction(0)


def error_name(asked: Question, answer: str) -> Text | None:
    """The name of the mistake that a wrong answer makes, where it is known."""
    if asked.answer == "one":
        chosen = asked.option(answer)
        return chosen.error_name if chosen else None
    if not answer:
        return None
    return _typed_error(asked, answer) if asked.answer == "number" else _order_error(asked, answer)


def _typed_error(asked: Question, answer: str) -> Text | None:
    typed, rule = stored_measure(answer), asked.rule
    true = getattr(rule, asked.part)
    if typed is None:
        return None
    for error in rule.errors:
        wrong = getattr(error, asked.part)
        if wrong is not None and agrees(rule, typed, wrong):
            return rule.say(error.name)
    return WRONG_UNIT if typed.value == true.value and typed.unit != true.unit else None


def _order_error(asked: Question, answer: str) -> Text | None:
    """The first act that stands before one it must follow."""
    letters = answer.split(",")
    order = asked.right.split(",")
    for before, after in pairwise(letters):
        first, second = asked.option(after), asked.option(before)
        if first and second and order.index(before) > order.index(after):
            return _swapped(first.text, second.text)
    return None


def _swapped(first: Text, second: Text) -> Text:
    return WRONG_ORDER.filled(lambda language: {"first": first[language], "second": second[language]})
