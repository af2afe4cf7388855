"""Judge a slope read off a level in degrees or per cent against a limit written as rise in 12."""

from fractions import Fraction

from training.domain.chance import Chance
from training.domain.kept import kept
from training.domain.patterns.judge_reading import ASK, judged, readings
from training.domain.patterns.shared import Draft, Pattern, stem
from training.domain.rules import Operator, Rule, Side
from training.domain.units import Measure, show

LEVELS = ("degree", "slope_percent")


@kept
def _levels(rule: Rule) -> dict[Side, tuple[Measure, ...]]:
    """Whole degrees and per cents near the limit, by the side on which their rise in 12 lies."""
    found: dict[Side, tuple[Measure, ...]] = {}
    for side, known in readings(rule).items():
        whole = [Measure(Fraction(round(reading.to(unit).value)), unit) for reading in known for unit in LEVELS]
        kept = {show(level): level for level in whole if _clear(rule, level, side)}
        if kept:
            found[side] = tuple(kept.values())
    return found


def _clear(rule: Rule, level: Measure, side: Side) -> bool:
    """Is it on its side even when the level is read one too low or too high?"""
    return level.value > 1 and all(rule.judge(level.plus(Fraction(off))).side is side for off in (-1, 0, 1))


def _fits(rule: Rule) -> bool:
    one_limit = rule.operator in (Operator.MIN, Operator.MAX)
    return one_limit and rule.unit == "pitch" and rule.value is not None and len(_levels(rule)) == 2


def _make(rule: Rule, chance: Chance) -> Draft:
    known = _levels(rule)
    true = chance.pick(sorted(known))
    level = chance.pick(known[true])
    choices = tuple(judged(rule, level, true, said) for said in (Side.LOW, Side.INSIDE, Side.HIGH))
    return Draft(stem(rule, ASK, reading=level.words), choices, show(level))


PATTERN = Pattern("judge-slope", "one", _fits, _make)
