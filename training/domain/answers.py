"""Answers: what a form sent is read, kept, and marked by the rule itself; a wrong one gets the name of its mistake.

Typed answers are right in any unit.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from training.domain.claims import Comes, Sequence, StatedLimit, agrees, holds
from training.domain.errors import BadInput
from training.domain.questions import Question, act_of, store_measure, stored_measure
from training.domain.rules import Rule
from training.domain.sums import slips
from training.domain.text import Text
from training.domain.units import Measure, parse_measure

_ROUNDING_SHARE = Fraction(2, 100)
_ROUNDING_DEGREES = Fraction(1)
WRONG_UNIT = Text("The number is right but the unit is not.", "El número es correcto, pero la unidad no.")
WRONG_ORDER = Text("“{first}” comes before “{second}”.", "«{first}» va antes de «{second}».")
LEFT_OUT = Text("One that applies was left out.", "Faltó una que corresponde.")


@dataclass(frozen=True)
class OrderPolicy:
    """How an order is marked: right when the longest run of acts in their right order is at least this share of all.

    A run is a stretch of the answer where each act is followed by the very one that comes next. 1: all or nothing.
    """

    run_share: Fraction = Fraction(1)


ALL_OR_NOTHING = OrderPolicy()


def accept_answer(asked: Question, sent: str, language: str = "en") -> str:
    """What a form sent, in the form in which an answer is kept; empty stays empty (not answered).

    Raises `BadInput` when it is none of the letters, not all of them once, or no measure of the right kind.
    """
    sent = sent.strip()
    if not sent:
        return ""
    if asked.answer == "number":
        assert asked.true is not None
        return store_measure(parse_measure(sent, asked.true.unit, language))
    letters = sent.replace(" ", "").split(",")
    known = [option.letter for option in asked.options]
    if asked.answer == "many":
        letters = sorted(set(letters))
    if asked.answer == "order" and sorted(letters) != known:
        raise BadInput("question.each_once")
    if asked.answer != "order" and (not set(letters) <= set(known) or (asked.answer == "one" and len(letters) != 1)):
        raise BadInput("question.no_such_option")
    return ",".join(letters)


def is_right(asked: Question, answer: str, policy: OrderPolicy = ALL_OR_NOTHING) -> bool:
    """Is the kept answer right, by the rule itself? Not answered is not right. Of `many`, exactly those that apply."""
    if asked.answer == "number":
        typed = stored_measure(answer)
        return typed is not None and typed_right(asked.rule, asked, typed)
    picked = asked.picked(answer)
    if not answer or len(picked) != answer.count(",") + 1:
        return False
    if asked.answer == "order":
        return len(picked) == len(asked.options) and in_order(asked.rule, [act_of(option) for option in picked], policy)
    if asked.answer == "many":
        return {option.letter for option in picked} == {option.letter for option in asked.options if option.right}
    return len(picked) == 1 and picked[0].right


def in_order(rule: Rule, acts: list[str], policy: OrderPolicy = ALL_OR_NOTHING) -> bool:
    """Do the acts come in the rule's order, as far as the policy asks?"""
    if holds(rule, Sequence(tuple(acts))):
        return True
    place = {act.key: number for number, act in enumerate(rule.acts)}
    if policy.run_share >= 1 or not set(acts) <= place.keys():
        return False
    return longest_run(acts, sorted(acts, key=lambda act: place[act])) >= policy.run_share * len(acts)


def longest_run(given: list[str], right: list[str]) -> int:
    """The longest stretch of `given` in which each act is followed by the one that comes next in `right`."""
    follows = dict(pairwise(right))
    best = run = 1
    for before, after in pairwise(given):
        run = run + 1 if follows.get(before) == after else 1
        best = max(best, run)
    return best


def typed_right(rule: Rule, asked: Question, typed: Measure) -> bool:
    """Right within the rule's tolerance; in another unit also when only its rounding differs (21 °C for 70 °F)."""
    claim = Comes(asked.sum, typed) if asked.sum else StatedLimit(typed, asked.part)
    true = asked.true
    if true is None or typed.kind != true.kind:
        return False
    if holds(rule, claim):
        return True
    if typed.unit == true.unit:
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
    if not answer:
        return None
    match asked.answer:
        case "number":
            return _typed_error(asked, answer)
        case "order":
            return _order_error(asked, answer)
    wrong = [option for option in asked.picked(answer) if not option.right]
    if asked.answer == "many" and not wrong:
        return None if is_right(asked, answer) else LEFT_OUT
    return wrong[0].error_name if wrong else None


def _typed_error(asked: Question, answer: str) -> Text | None:
    typed, true = stored_measure(answer), asked.true
    if typed is None or true is None:
        return None
    for wrong, name in mistakes(asked):
        if agrees(asked.rule, typed, wrong) if asked.sum is None else typed.kind == wrong.kind and typed == wrong:
            return name
    return WRONG_UNIT if typed.value == true.value and typed.unit != true.unit else None


def mistakes(asked: Question) -> Iterator[tuple[Measure, Text]]:
    """Numbers that somebody who makes a named mistake would type, with its name."""
    rule = asked.rule
    if asked.sum is not None:
        yield from ((slip.result, slip.name) for slip in slips(rule, asked.sum))
        return
    for error in (*rule.errors, *rule.neighbours):
        wrong = getattr(error, asked.part)
        if wrong is not None and not agrees(rule, wrong, asked.true):
            yield wrong, rule.say(error.name)


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
