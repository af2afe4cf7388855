"""Work out a number from the rule's value and what is given; typed with its unit."""

from fractions import Fraction

from training.domain.chance import Chance
from training.domain.patterns.shared import Draft, Pattern, stem
from training.domain.patterns.type_value import TYPE_IT
from training.domain.rules import Rule
from training.domain.sums import Sum, solve
from training.domain.text import Text
from training.domain.units import Measure, measure, show

ASK = {
    "checks": Text(
        "{quantity}: an area has {first}. How many tiles must be checked at least?",
        "{quantity}: un área tiene {first}. ¿Cuántas tejas se deben revisar como mínimo?",
    ),
    "exposure": Text(
        "{quantity}: a tile is {first} long. How much of its length may show at most?",
        "{quantity}: una teja mide {first} de largo. ¿Cuánto de su largo puede verse como máximo?",
    ),
    "per_square": Text(
        "{quantity}: a roof has {first}. How many tiles is that in all?",
        "{quantity}: un techo tiene {first}. ¿Cuántas tejas son en total?",
    ),
    "per_tile": Text(
        "{quantity}: a roof has {first} and {second}. What is the total for the roof?",
        "{quantity}: un techo tiene {first} y {second}. ¿Cuál es el total del techo?",
    ),
    "share": Text(
        "{quantity}: a normal day has {first}. How long is that share at most?",
        "{quantity}: un día normal tiene {first}. ¿Cuánto tiempo es como máximo?",
    ),
}
FEWEST_TILES, MOST_TILES = 31, 480
FEWEST_SQUARES, SQUARES = 4, 42
THIN, RATES = 80, 11
"""Common practice, no source: 80 to 90 tiles a square."""
LONGEST_TILES = ("13", "16 1/2", "17", "18")
HOURS = ("6", "7", "8", "9", "10", "11", "12")


def _given(rule: Rule, chance: Chance) -> tuple[Measure, ...]:
    squares = Measure(Fraction(FEWEST_SQUARES + chance.below(SQUARES)), "square")
    match rule.calculation:
        case "checks":
            return (Measure(Fraction(FEWEST_TILES + chance.below(MOST_TILES - FEWEST_TILES)), "tile"),)
        case "per_square":
            return (squares,)
        case "per_tile":
            return (squares, Measure(Fraction(THIN + chance.below(RATES)), "tile/square"))
        case "exposure":
            return (chance.pick([length.to(rule.unit) for length in _lengths(rule)]),)
        case _:
            return (measure(chance.pick(HOURS), "h"),)


def _lengths(rule: Rule) -> list[Measure]:
    """Tiles that show more than half of their length."""
    assert rule.value is not None
    return [long for each in LONGEST_TILES if (long := measure(each, "in")) > rule.value.plus(rule.value.value)]


def _fits(rule: Rule) -> bool:
    if rule.calculation not in ASK or rule.value is None or rule.value.value <= 0:
        return False
    return rule.calculation != "exposure" or bool(_lengths(rule))


def _make(rule: Rule, chance: Chance) -> Draft:
    given = _given(rule, chance)
    asked = Sum(rule.calculation, given)
    sentence = ASK[rule.calculation]
    question = Text(sentence.en + TYPE_IT.en, sentence.es + TYPE_IT.es)
    numbers = {name: number.words for name, number in zip(("first", "second"), given, strict=False)}
    assert rule.value is not None
    return Draft(stem(rule, question, **numbers), (), show(solve(rule.value, asked)), sum=asked)


PATTERN = Pattern("compute", "number", _fits, _make)
