"""Choose the limit among values that named errors lead to; for a range, the pair of limits."""

from training.domain.chance import Chance
from training.domain.claims import Claim, StatedLimit, StatedRange, holds
from training.domain.kept import kept
from training.domain.patterns.shared import Choice, Draft, Pattern, around, distinct, stem
from training.domain.rules import NamedError, Operator, Rule
from training.domain.text import Text
from training.domain.units import Measure, show

WRONG = 3
ASK = {
    Operator.MIN: Text(
        "{quantity}: what is the lowest value allowed?", "{quantity}: ¿cuál es el valor más bajo permitido?"
    ),
    Operator.MAX: Text(
        "{quantity}: what is the highest value allowed?", "{quantity}: ¿cuál es el valor más alto permitido?"
    ),
    Operator.EXACT: Text("{quantity}: what is the right value?", "{quantity}: ¿cuál es el valor correcto?"),
    Operator.RANGE: Text(
        "{quantity}: what are the lowest and the highest values allowed?",
        "{quantity}: ¿cuáles son el valor más bajo y el más alto permitidos?",
    ),
}
PAIR = Text("lowest {low}, highest {high}", "mínimo {low}, máximo {high}")


def stated(rule: Rule, error: NamedError | None = None) -> Claim | None:
    """The limit as the rule, or as somebody who makes this error, would state it; None when it cannot be one."""
    value, low, high = rule.value, rule.low, rule.high
    if error is not None:
        value = error.value
        low, high = (error.low or rule.low, error.high or rule.high) if error.low or error.high else (None, None)
    if rule.operator is Operator.RANGE:
        usable = low is not None and high is not None and low.unit == high.unit == rule.unit and low < high
        return StatedRange(low, high) if usable and low and high else None
    return StatedLimit(value) if value is not None and value.unit == rule.unit else None


def in_words(claim: Claim) -> Text:
    if isinstance(claim, StatedRange):
        low, high = claim.low, claim.high
        return PAIR.filled(lambda language: {"low": show(low, language), "high": show(high, language)})
    assert isinstance(claim, StatedLimit)
    return claim.stated.words


def size(choice: Choice) -> tuple[Measure, ...]:
    claim = choice.claim
    if isinstance(claim, StatedRange):
        return (claim.low, claim.high)
    assert isinstance(claim, StatedLimit)
    return (claim.stated,)


@kept
def choices(rule: Rule) -> tuple[Choice, ...]:
    """The right choice first, then every usable wrong one."""
    right = stated(rule)
    if right is None or not rule.numeric:
        return ()
    found = [Choice(in_words(right), right)]
    for error in (*rule.errors, *rule.neighbours):
        claim = stated(rule, error)
        if claim is not None and not holds(rule, claim):
            found.append(Choice(in_words(claim), claim, error.key, rule.say(error.name)))
    return tuple(distinct(found))


def _fits(rule: Rule) -> bool:
    return len(choices(rule)) > 2


def _make(rule: Rule, chance: Chance) -> Draft:
    right, *wrong = choices(rule)
    many = min(WRONG - chance.below(2), len(wrong))
    return Draft(stem(rule, ASK[rule.operator]), around(right, wrong, many, size, chance), right.text.en)


PATTERN = Pattern("choose-value", "one", _fits, _make)
