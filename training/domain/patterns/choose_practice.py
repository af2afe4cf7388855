"""Choose the right practice among the ones that named errors lead to."""

from training.domain.chance import Chance
from training.domain.claims import Practice
from training.domain.kept import kept
from training.domain.patterns.shared import Choice, Draft, Pattern, distinct, stem
from training.domain.rules import PRACTICE, Rule
from training.domain.text import Text

WRONG = 3
ASK = Text("{quantity}: which practice is right?", "{quantity}: ¿qué práctica es la correcta?")


@kept
def _choices(rule: Rule) -> tuple[Choice, ...]:
    """The right practice first, then the wrong ones."""
    if rule.right is None or rule.operator not in PRACTICE:
        return ()
    found = [Choice(rule.say(rule.right), Practice(None))]
    found += [
        Choice(rule.say(error.text), Practice(error.key), error.key, rule.say(error.name))
        for error in rule.errors
        if error.text is not None
    ]
    return tuple(distinct(found))


def _fits(rule: Rule) -> bool:
    return len(_choices(rule)) > 2


def _make(rule: Rule, chance: Chance) -> Draft:
    right, *wrong = _choices(rule)
    mixed = chance.shuffled([right, *chance.some(wrong, WRONG)])
    asked = rule.say(rule.ask) if rule.ask else stem(rule, ASK)
    return Draft(asked, tuple(mixed), "+".join(sorted(choice.error for choice in mixed)))


PATTERN = Pattern("choose-practice", "one", _fits, _make)
