"""Read one slope in another way: rise in 12, degrees, per cent. Wrong options come from mixing two of them up."""

import math
from collections.abc import Callable
from fractions import Fraction

from training.domain.chance import Chance
from training.domain.claims import SameSlope, holds
from training.domain.figures import sized
from training.domain.patterns.shared import Choice, Draft, Pattern, around, distinct
from training.domain.rules import Rule
from training.domain.text import Text
from training.domain.units import Measure, show

WRONG = 3
RISES = tuple(Fraction(n, 2) for n in (4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 22, 24))
LEVEL = Text(
    "A level on the roof shows {given}. What is that as rise in 12?",
    "Un nivel en el techo marca {given}. ¿Cuánto es como subida en 12?",
)
ASK = {
    ("pitch", "degree"): Text(
        "A roof has a slope of {given}. How many degrees is that?",
        "Un techo tiene una pendiente de {given}. ¿Cuántos grados son?",
    ),
    ("pitch", "slope_percent"): Text(
        "A roof has a slope of {given}. How many percent is that?",
        "Un techo tiene una pendiente de {given}. ¿Qué porcentaje es?",
    ),
    ("degree", "pitch"): LEVEL,
    ("slope_percent", "pitch"): LEVEL,
}
SPAN = Text("The run is half of the span.", "El tramo es la mitad del ancho total.")
UNEVEN = Text("The angle does not grow evenly with the rise.", "El ángulo no crece parejo con la subida.")
TWELVE = Text("The run is twelve, not ten.", "El tramo es doce, no diez.")
IN_PERCENT = Text("That takes percent for degrees.", "Eso confunde el porcentaje con los grados.")
IN_DEGREES = Text("That takes degrees for percent.", "Eso confunde los grados con el porcentaje.")


def _tan(degrees: Fraction) -> Fraction:
    """Rise in 12 of an angle under a right angle."""
    return Measure(degrees, "degree").to("pitch").value if degrees < 80 else Fraction(99)


Slip = tuple[str, Text, Callable[[Fraction], Fraction]]
SLIPS: dict[tuple[str, str], tuple[Slip, ...]] = {
    ("pitch", "degree"): (
        ("percent", IN_PERCENT, lambda rise: rise * 100 / 12),
        ("even", UNEVEN, lambda rise: rise * 45 / 12),
        ("fives", UNEVEN, lambda rise: rise * 5),
        ("span", SPAN, lambda rise: Measure(rise / 2, "pitch").to("degree").value),
    ),
    ("pitch", "slope_percent"): (
        ("tens", TWELVE, lambda rise: rise * 10),
        ("degrees", IN_DEGREES, lambda rise: Measure(rise, "pitch").to("degree").value),
        ("span", SPAN, lambda rise: rise * 50 / 12),
    ),
    ("slope_percent", "pitch"): (
        ("tens", TWELVE, lambda percent: percent / 10),
        ("degrees", IN_DEGREES, _tan),
        ("span", SPAN, lambda percent: percent * 24 / 100),
    ),
    ("degree", "pitch"): (
        ("percent", IN_PERCENT, lambda degrees: degrees * 12 / 100),
        ("even", UNEVEN, lambda degrees: degrees * 12 / 45),
        ("fives", UNEVEN, lambda degrees: degrees / 5),
        ("span", SPAN, lambda degrees: 2 * _tan(degrees)),
    ),
}
"""(written as, asked as) -> the usual slips: key, name, and what they make of the number."""


def _rounded(value: Fraction, unit: str) -> Measure:
    """Whole degrees and per cents, half steps of rise."""
    step = Fraction(1, 2) if unit == "pitch" else Fraction(1)
    return Measure(step * math.floor(value / step + Fraction(1, 2)), unit)


def _wrong(rule: Rule, given: Measure, unit: str) -> list[Choice]:
    found = []
    for key, name, work in SLIPS[given.unit, unit]:
        claim = SameSlope(given, _rounded(work(given.value), unit))
        if claim.stated.value > 0 and not holds(rule, claim):
            found.append(Choice(claim.stated.words, claim, key, name))
    return found


def _size(choice: Choice) -> Fraction:
    assert isinstance(choice.claim, SameSlope)
    return choice.claim.stated.value


def _fits(rule: Rule) -> bool:
    return rule.calculation == "slope"


def _make(rule: Rule, chance: Chance) -> Draft:
    written, unit = chance.pick(sorted(ASK))
    rise = Measure(chance.pick(RISES), "pitch")
    given = _rounded(rise.to(written).value, written)
    claim = SameSlope(given, _rounded(given.to(unit).value, unit))
    right, *wrong = distinct([Choice(claim.stated.words, claim), *_wrong(rule, given, unit)])
    number = given.words
    asked = ASK[written, unit].filled(lambda language: {"given": number[language]})
    choices = around(right, wrong, min(WRONG, len(wrong)), _size, chance)
    figure = sized("slope", given) if written == "pitch" else None
    return Draft(asked, choices, f"{show(given)} {unit}", figure=figure)


PATTERN = Pattern("choose-slope", "one", _fits, _make)
