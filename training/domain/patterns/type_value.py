"""Type the limit with its unit. For a range, one of its two limits is asked."""

from training.domain.chance import Chance
from training.domain.patterns.choose_value import ASK
from training.domain.patterns.shared import Draft, Pattern, stem
from training.domain.rules import Operator, Rule
from training.domain.text import Text
from training.domain.units import show

TYPE_IT = Text(" Type the number and its unit.", " Escriba el número y su unidad.")
UNTYPABLE = frozenset({"one_in", "one_to", "ppm", "mg/m3", "ug/m3"})
"""Values nobody should have to type on a phone."""


def _fits(rule: Rule) -> bool:
    needed = (rule.low, rule.high) if rule.operator is Operator.RANGE else (rule.value,)
    return rule.numeric and rule.unit not in UNTYPABLE and None not in needed


def _make(rule: Rule, chance: Chance) -> Draft:
    part, operator = "value", rule.operator
    if operator is Operator.RANGE:
        part, operator = chance.pick((("low", Operator.MIN), ("high", Operator.MAX)))
    asked = Text(ASK[operator].en + TYPE_IT.en, ASK[operator].es + TYPE_IT.es)
    true = getattr(rule, part)
    return Draft(stem(rule, asked), (), show(true), part=part)


PATTERN = Pattern("type-value", "number", _fits, _make)
