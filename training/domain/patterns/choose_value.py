"""Choose the limit among values that named errors lead to; for a range, the pair of limits."""

from functools import lru_cache

from training.domain.chance import Chance
from training.domain.claims import Claim, StatedLimit, StatedRange, holds
from training.domain.patterns.shared import Choice, Draft, Pattern, distinct, stem
from training.domain.rules import NamedError, Operator, Rule
from training.domain.text import Text, both
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


def _claim(rule: Rule, error: NamedError | None = None) -> Claim | None:
    """The limit as the rule, or as somebody who makes this error, would state it; None when it cannot be one."""
    value, low, high = rule.value, rule.low, rule.high
    if error is not None:
        value = error.value
        low, high = (error.low or rule.low, error.high or rule.high) if error.low or error.high else (None, None)
    if rule.operator is Operator.RANGE:
        usable = low is not None and high is not None and low.unit == high.unit == rule.unit and low < high
        return StatedRange(low, high) if usable and low and high else None
    return StatedLimit(value) if value is not None and value.unit == rule.unit else None


def _words(claim: Claim) -> Text:
    if isinstance(claim, StatedRange):
        low, high = claim.low, claim.high
        return PAIR.filled(lambda language: {"low": show(low, language), "high": show(high, language)})
    assert isinstance(claim, StatedLimit)
    return both(lambda language: show(claim.stated, language))


def _size(choice: Choice) -> tuple[Measure, ...]:
    claim = choice.claim
    if isinstance(claim, StatedRange):
        return (claim.low, claim.high)
    assert isinstance(claim, StatedLimit)
    return (claim.stated,)


@lru_cache(maxsize=2048)
def _choices(rule: Rule) -> tuple[Choice, ...]:
    """The right choice first, then every usable wrong one."""
    right = _claim(rule)
    if right is None or not rule.numeric:
        return ()
    found = [Choice(_words(right), right)]
    for error in rule.errors:
        claim = _claim(rule, error)
        if claim is not None and not holds(rule, claim):
            found.append(Choice(_words(claim), claim, error.key, rule.say(error.name)))
    return tuple(distinct(found))


def _fits(rule: Rule) -> bool:
    return len(_choices(rule)) > 2


def _make(rule: Rule, chance: Chance) -> Draft:
    right, *wrong = _choices(rule)
    below, above = [it for it in wrong if _size(it) < _size(right)], [it for it in wrong if _size(it) >= _size(right)]
    many = min(WRONG - chance.below(2), len(wrong))
    # The place of the right one is drawn first: errors lie on both sides of it, so else it would mostly be the middle.
    place = chance.pick(range(max(0, many - len(above)), min(many, len(below)) + 1))
    picked = sorted([right, *chance.some(below, place), *chance.some(above, many - place)], key=_size)
    return Draft(stem(rule, ASK[rule.operator]), tuple(picked), right.text.en)


PATTERN = Pattern("choose-value", "one", _fits, _make)
