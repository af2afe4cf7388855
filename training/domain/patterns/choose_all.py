"""Choose every reading within the limits: some of them are, some are not, and the question says to choose them all."""

from training.domain.chance import Chance
from training.domain.claims import Verdict
from training.domain.kept import kept
from training.domain.patterns.judge_reading import ERRORS, RATIOS, exact_readings
from training.domain.patterns.shared import Choice, Draft, Pattern, stem
from training.domain.rules import Operator, Rule, Side
from training.domain.text import Text
from training.domain.units import Measure

FEWEST, MOST = 4, 5
ASK = Text(
    "{quantity}: which of these are within the limits? Choose all that apply.",
    "{quantity}: ¿cuáles están dentro de los límites? Elija todas las que correspondan.",
)


@kept
def _sides(rule: Rule) -> tuple[tuple[Choice, ...], tuple[Choice, ...]]:
    """Readings within the limits, and readings beyond them."""
    known = {side: tuple(_choice(rule, one) for one in found) for side, found in exact_readings(rule).items()}
    return known.get(Side.INSIDE, ()), known.get(Side.LOW, ()) + known.get(Side.HIGH, ())


def _size(choice: Choice) -> Measure:
    assert isinstance(choice.claim, Verdict)
    return choice.claim.reading


def _fits(rule: Rule) -> bool:
    if rule.operator not in (Operator.MIN, Operator.MAX, Operator.RANGE) or rule.unit in RATIOS:
        return False
    needed = (rule.low, rule.high) if rule.operator is Operator.RANGE else (rule.value,)
    return None not in needed and all(len(side) >= FEWEST - 1 for side in _sides(rule))


def _choice(rule: Rule, reading: Measure) -> Choice:
    claim, true = Verdict(reading, Side.INSIDE), rule.side_of(reading)
    if true is Side.INSIDE:
        return Choice(reading.words, claim)
    return Choice(reading.words, claim, *ERRORS[true, Side.INSIDE])


def _make(rule: Rule, chance: Chance) -> Draft:
    inside, outside = _sides(rule)
    size = FEWEST + chance.below(MOST - FEWEST + 1)
    right = 1 + chance.below(min(size - 1, len(inside)))
    picked = sorted([*chance.some(inside, right), *chance.some(outside, size - right)], key=_size)
    return Draft(stem(rule, ASK), tuple(picked), " + ".join(choice.text.en for choice in picked))


PATTERN = Pattern("choose-all", "many", _fits, _make)
