"""Put the acts of a rule in the right order. The answer is the letters in order."""

from training.domain.chance import Chance
from training.domain.claims import Sequence
from training.domain.patterns.shared import Choice, Draft, Pattern, stem
from training.domain.rules import Operator, Rule
from training.domain.text import Text

MOST = 5
ASK = Text("{quantity}: what is the right order?", "{quantity}: ¿cuál es el orden correcto?")


def _fits(rule: Rule) -> bool:
    return rule.operator is Operator.ORDER and len(rule.acts) > 2


def _make(rule: Rule, chance: Chance) -> Draft:
    picked = chance.some(rule.acts, MOST)
    if [act.key for act in picked] == [act.key for act in rule.acts if act in picked]:
        picked.reverse()
    choices = tuple(Choice(act.text, Sequence((act.key,))) for act in picked)
    return Draft(stem(rule, ASK), choices, ",".join(act.key for act in picked))


PATTERN = Pattern("put-in-order", "order", _fits, _make)
