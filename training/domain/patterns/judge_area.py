"""Measure a lifted pad, work out its contact area and hold it against the rule. Sizes as read off a tape."""

from fractions import Fraction

from training.domain.chance import Chance
from training.domain.claims import Covers
from training.domain.figures import sized
from training.domain.kept import kept
from training.domain.patterns.judge_reading import ERRORS, allows
from training.domain.patterns.shared import Choice, Draft, Pattern, distinct, stem
from training.domain.rules import Rule, Side
from training.domain.sums import area_of
from training.domain.text import Text
from training.domain.units import Measure, show

ASK = Text(
    "{quantity}: you lift a tile and the pad covers {length} by {width}. Is that enough?",
    "{quantity}: usted levanta una teja y la porción cubre {length} por {width}. ¿Es suficiente?",
)
SAID = {
    True: Text("Yes, it covers {area}", "Sí, cubre {area}"),
    False: Text("No, it covers {area}", "No, cubre {area}"),
}
ADDED = Text("Length times width gives the area, not the sum.", "El largo por el ancho da el área, no la suma.")
BOTH_FACES = Text("One face counts, not both.", "Cuenta una sola cara, no las dos.")
WIDTHS = tuple(Fraction(n, 2) for n in range(3, 9))
LENGTHS = tuple(Fraction(n, 8) for n in range(16, 81))
NEAR = (Fraction(3, 5), Fraction(8, 5))
"""The area lies between these shares of the limit."""


@kept
def _pads(rule: Rule) -> dict[bool, tuple[tuple[Measure, Measure], ...]]:
    """Length and width of pads that are enough, and of pads that are not; none on the edge."""
    assert rule.value is not None
    limit = rule.value.to("in2").value
    found: dict[bool, list[tuple[Measure, Measure]]] = {True: [], False: []}
    for width in WIDTHS:
        for length in LENGTHS:
            area = length * width
            if width < length and NEAR[0] <= area / limit <= NEAR[1] and (8 * area).denominator == 1 and area != limit:
                pad = Measure(length, "in"), Measure(width, "in")
                found[rule.judge(area_of(*pad, rule.unit)).ok].append(pad)
    return {ok: tuple(pads) for ok, pads in found.items() if pads}


def _fits(rule: Rule) -> bool:
    return rule.calculation == "area" and rule.unit == "in2" and rule.value is not None and len(_pads(rule)) == 2


def _choice(claim: Covers, error: str = "", name: Text | None = None) -> Choice:
    area = claim.area.words
    return Choice(SAID[claim.enough].filled(lambda language: {"area": area[language]}), claim, error, name)


def _opposite(rule: Rule, true: Covers) -> Choice:
    """The right area judged by another limit."""
    claim = Covers(true.length, true.width, true.area, not true.enough)
    said = Side.INSIDE if claim.enough else Side.LOW
    for error in (*rule.errors, *rule.neighbours):
        if allows(rule, error, true.area) is said:
            return _choice(claim, error.key, rule.say(error.name))
    return _choice(claim, *ERRORS[Side.LOW if claim.enough else Side.INSIDE, said])


def _miscounted(rule: Rule, true: Covers, area: Fraction, error: str, name: Text) -> Choice:
    wrong = Measure(area, rule.unit)
    return _choice(Covers(true.length, true.width, wrong, rule.judge(wrong).ok), error, name)


def _size(choice: Choice) -> tuple[Fraction, bool]:
    assert isinstance(choice.claim, Covers)
    return choice.claim.area.value, choice.claim.enough


def _make(rule: Rule, chance: Chance) -> Draft:
    known = _pads(rule)
    length, width = chance.pick(known[chance.below(2) == 0])
    area = area_of(length, width, rule.unit)
    true = Covers(length, width, area, rule.judge(area).ok)
    wrong = [
        _opposite(rule, true),
        _miscounted(rule, true, length.value + width.value, "added", ADDED),
        _miscounted(rule, true, 2 * area.value, "both-faces", BOTH_FACES),
    ]
    asked = stem(rule, ASK, length=length.words, width=width.words)
    choices = sorted(distinct([_choice(true), *wrong]), key=_size)
    return Draft(asked, tuple(choices), f"{show(length)} x {show(width)}", figure=sized("area", length, width))


PATTERN = Pattern("judge-area", "one", _fits, _make)
