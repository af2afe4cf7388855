"""What is worked out from a rule's value: checks of so many tiles, what a lap leaves bare, a share of the hours.

The learner must know the value and do the sum; the usual slips have names.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from training.domain.rules import NamedError, Rule
from training.domain.text import Text
from training.domain.units import Measure


@dataclass(frozen=True)
class Sum:
    """What is to be worked out (a calculation of `rule_hints`) and the numbers that are given for it."""

    kind: str
    given: tuple[Measure, ...]


@dataclass(frozen=True)
class Slip:
    """A wrong result and the name of the mistake that leads to it."""

    result: Measure
    key: str
    name: Text


def solve(value: Measure, asked: Sum) -> Measure:
    """The result of the sum with this value of the rule."""
    return _SOLVE[asked.kind](value, asked.given)


def area_of(length: Measure, width: Measure, unit: str) -> Measure:
    """Length times width of what is measured in inches, in a unit of area."""
    return Measure(length.to("in").value * width.to("in").value, "in2").to(unit)


def _checks(value: Measure, given: tuple[Measure, ...]) -> Measure:
    """One in so many, rounded up: ceil(n / 10) field tiles, ceil(n / 5) at edges (Florida TAS 106 cl. 4.1)."""
    return Measure(Fraction(math.ceil(given[0].value / value.value)), given[0].unit)


def _exposure(value: Measure, given: tuple[Measure, ...]) -> Measure:
    return Measure(given[0].value - value.to(given[0].unit).value, given[0].unit)


def _per_square(value: Measure, given: tuple[Measure, ...]) -> Measure:
    return Measure(given[0].value * value.value, "tile")


def _per_tile(value: Measure, given: tuple[Measure, ...]) -> Measure:
    return Measure(given[0].value * given[1].value * value.value, value.unit)


def _share(value: Measure, given: tuple[Measure, ...]) -> Measure:
    return Measure(given[0].value * value.value / 100, given[0].unit)


_SOLVE: dict[str, Callable[[Measure, tuple[Measure, ...]], Measure]] = {
    "checks": _checks,
    "exposure": _exposure,
    "per_square": _per_square,
    "per_tile": _per_tile,
    "share": _share,
}


# --- slips ----------------------------------------------------------------------------------------------------


_OWN_SLIPS: dict[str, tuple[tuple[str, Text, Callable[[Measure, tuple[Measure, ...]], Measure]], ...]] = {
    "checks": (
        (
            "rounded-down",
            Text("Round up: the last few tiles need one more check.", "Redondee hacia arriba: falta una revisión."),
            lambda value, given: Measure(Fraction(given[0].value // value.value), given[0].unit),
        ),
    ),
    "exposure": (
        (
            "added",
            Text("The lap is taken off the length, not added.", "El traslape se resta del largo, no se suma."),
            lambda value, given: given[0].plus(value.to(given[0].unit).value),
        ),
        (
            "whole-tile",
            Text("The lap hides a part of the tile.", "El traslape tapa una parte de la teja."),
            lambda value, given: given[0],
        ),
        (
            "twice",
            Text("The lap is taken off once.", "El traslape se resta una sola vez."),
            lambda value, given: given[0].plus(-2 * value.to(given[0].unit).value),
        ),
    ),
    "per_square": (
        (
            "tenfold",
            Text("Count the squares again: this is ten times too many.", "Cuente los cuadros: es diez veces de más."),
            lambda value, given: Measure(given[0].value * value.value * 10, "tile"),
        ),
    ),
    "per_tile": (
        (
            "one-each",
            Text("This counts the tiles, not what each one takes.", "Esto cuenta las tejas, no lo que lleva cada una."),
            lambda value, given: Measure(given[0].value * given[1].value, value.unit),
        ),
        (
            "one-square",
            Text("This is for a single square.", "Esto es para un solo cuadro."),
            lambda value, given: Measure(given[1].value * value.value, value.unit),
        ),
    ),
    "share": (
        (
            "the-rest",
            Text("That is the time that is left over.", "Ese es el tiempo que sobra."),
            lambda value, given: Measure(given[0].value * (100 - value.value) / 100, given[0].unit),
        ),
        (
            "whole-day",
            Text("That is the whole day.", "Ese es el día completo."),
            lambda value, given: given[0],
        ),
    ),
}


def slips(rule: Rule, asked: Sum) -> Iterator[Slip]:
    """Wrong results: the rule's value mistaken as its named errors say, then the usual slips of the sum itself."""
    assert rule.value is not None
    true = solve(rule.value, asked)
    for error in (*rule.errors, *rule.neighbours):
        wrong = _mistaken(error, rule, asked)
        if wrong is not None and wrong != true:
            yield Slip(wrong, error.key, rule.say(error.name))
    for key, name, work in _OWN_SLIPS[asked.kind]:
        wrong = work(rule.value, asked.given)
        if wrong != true:
            yield Slip(wrong, key, name)


def _mistaken(error: NamedError, rule: Rule, asked: Sum) -> Measure | None:
    if error.value is None or error.value.unit != rule.unit or error.value.value <= 0:
        return None
    return solve(error.value, asked)
