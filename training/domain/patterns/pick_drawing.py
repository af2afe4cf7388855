"""Pick the drawing: sizes or places as the rule wants them, among what named errors and confusable rules make."""

from training.domain.chance import Chance
from training.domain.claims import Practice, StatedLimit
from training.domain.figures import Figure, placed, sized
from training.domain.kept import kept
from training.domain.patterns import choose_value
from training.domain.patterns.shared import Choice, Draft, Pattern, around, distinct, stem
from training.domain.rules import Operator, Rule
from training.domain.text import Text
from training.domain.units import Measure

WRONG = 3
ASK = {
    Operator.MIN: Text(
        "{quantity}: which drawing shows the lowest value allowed?",
        "{quantity}: ¿qué dibujo muestra el valor más bajo permitido?",
    ),
    Operator.MAX: Text(
        "{quantity}: which drawing shows the highest value allowed?",
        "{quantity}: ¿qué dibujo muestra el valor más alto permitido?",
    ),
    Operator.EXACT: Text(
        "{quantity}: which drawing shows the right value?", "{quantity}: ¿qué dibujo muestra el valor correcto?"
    ),
}
PLACE = Text("{quantity}: which drawing is right?", "{quantity}: ¿qué dibujo es el correcto?")


def _drawn(choice: Choice, figure: Figure) -> Choice:
    return Choice(figure.spoken, choice.claim, choice.error, choice.error_name, figure)


@kept
def _choices(rule: Rule) -> tuple[Choice, ...]:
    """The right drawing first, then the wrong ones."""
    if rule.sketch is None:
        return ()
    return tuple(distinct(_placed(rule) if rule.sketch.kind == "pad_place" else _sized(rule)))


def _sized(rule: Rule) -> list[Choice]:
    assert rule.sketch is not None
    found: list[tuple[Choice, Measure]] = []
    for choice in choose_value.choices(rule):
        assert isinstance(choice.claim, StatedLimit)
        found.append((choice, choice.claim.stated))
    span = max(stated for _, stated in found) if found else None
    kind, profile = rule.sketch.kind, rule.sketch.profile
    return [_drawn(choice, sized(kind, stated, profile=profile, span=span)) for choice, stated in found]


def _placed(rule: Rule) -> list[Choice]:
    assert rule.sketch is not None
    places, profile = rule.sketch.places, rule.sketch.profile
    right = placed(places["right"], profile)
    found = [Choice(right.spoken, Practice(None), figure=right)]
    for error in rule.errors:
        if error.key in places:
            figure = placed(places[error.key], profile)
            found.append(Choice(figure.spoken, Practice(error.key), error.key, rule.say(error.name), figure))
    return found


def _fits(rule: Rule) -> bool:
    return len(_choices(rule)) > 2


def _make(rule: Rule, chance: Chance) -> Draft:
    right, *wrong = _choices(rule)
    if rule.numeric:
        picked = around(right, wrong, min(WRONG - chance.below(2), len(wrong)), choose_value.size, chance)
        return Draft(stem(rule, ASK[rule.operator]), picked, right.text.en)
    mixed = chance.shuffled([right, *chance.some(wrong, WRONG)])
    return Draft(stem(rule, PLACE), tuple(mixed), "+".join(sorted(choice.error for choice in mixed)))


PATTERN = Pattern("pick-drawing", "one", _fits, _make)
