"""Judge one reading: under the limit, inside, or over it. Readings lie near the limit, never on it."""

from fractions import Fraction

from training.domain.chance import Chance
from training.domain.claims import Verdict
from training.domain.kept import kept
from training.domain.patterns.shared import Choice, Draft, Pattern, stem
from training.domain.rules import NamedError, Operator, Rule, Side
from training.domain.text import Text
from training.domain.unit_table import UNITS
from training.domain.units import Measure, is_shown_exactly, show

FAR = 8
RATIOS = frozenset({"one_in", "one_to"})
"""A larger second number is a smaller share: under and over would only confuse."""
ASK = Text(
    "{quantity}: you find {reading}. Is it within the limits?",
    "{quantity}: usted encuentra {reading}. ¿Está dentro de los límites?",
)
SAID = {
    Side.LOW: Text("No, it is under the limit.", "No, está por debajo del límite."),
    Side.INSIDE: Text("Yes, it is within the limits.", "Sí, está dentro de los límites."),
    Side.HIGH: Text("No, it is over the limit.", "No, está por encima del límite."),
}
ERRORS: dict[tuple[Side, Side], tuple[str, Text]] = {
    (Side.LOW, Side.INSIDE): (
        "accepts-too-little",
        Text("This accepts a value under the limit.", "Esto acepta un valor por debajo del límite."),
    ),
    (Side.HIGH, Side.INSIDE): (
        "accepts-too-much",
        Text("This accepts a value over the limit.", "Esto acepta un valor por encima del límite."),
    ),
    (Side.INSIDE, Side.LOW): (
        "asks-too-much",
        Text("This asks for more than the rule does.", "Esto pide más de lo que pide la regla."),
    ),
    (Side.INSIDE, Side.HIGH): (
        "allows-too-little",
        Text("This allows less than the rule does.", "Esto permite menos de lo que permite la regla."),
    ),
    (Side.LOW, Side.HIGH): (
        "limits-swapped",
        Text("This takes the lowest value for the highest.", "Esto confunde el valor más bajo con el más alto."),
    ),
    (Side.HIGH, Side.LOW): (
        "limits-swapped",
        Text("This takes the highest value for the lowest.", "Esto confunde el valor más alto con el más bajo."),
    ),
}
"""(where the reading is, where it was said to be) -> the error's key and name."""


NICE = sorted(
    {Fraction(1, 16), Fraction(1, 8), Fraction(1, 4), Fraction(1, 2)}
    | {digit * Fraction(10) ** power for digit in (1, 2, 5) for power in range(-3, 7)}
)


def grid(rule: Rule, near: Measure) -> Fraction:
    """A step people would read near this value: about a twentieth of it, on a tape's fractions or 1, 2, 5 steps."""
    least = UNITS[rule.unit].step
    wanted = abs(near.value) * 3 / 80
    return next((step for step in NICE if step >= wanted and step % least == 0), NICE[-1])


def _near(rule: Rule, limit: Measure, direction: int) -> list[Measure]:
    """Readings on the far side of a limit and its tolerance, up to eight steps away."""
    for step in (grid(rule, limit), UNITS[rule.unit].step):
        found = [limit.plus(direction * (rule.tolerance + step * n)) for n in range(1, FAR + 1)]
        if possible := _possible(rule, found):
            return possible
    return []


def _possible(rule: Rule, readings: list[Measure]) -> list[Measure]:
    about = UNITS[rule.unit]
    return [
        reading
        for reading in readings
        if reading.value >= about.lowest and (about.highest is None or reading.value <= about.highest)
        if rule.unit not in ("degF", "degC") or reading.value > -40
    ]


@kept
def readings(rule: Rule) -> dict[Side, tuple[Measure, ...]]:
    """Readings for each side that the rule has; none on an edge, where nobody could tell."""
    low = rule.low if rule.operator is Operator.RANGE else rule.value
    high = rule.high if rule.operator is Operator.RANGE else rule.value
    assert low is not None and high is not None
    under = [] if rule.operator is Operator.MAX else _near(rule, low, -1)
    over = [] if rule.operator is Operator.MIN else _near(rule, high, 1)
    sides = {Side.LOW: under, Side.INSIDE: _inside(rule, low, high), Side.HIGH: over}
    kept = {side: tuple(r for r in found if rule.side_of(r) is side) for side, found in sides.items()}
    return {side: found for side, found in kept.items() if found}


@kept
def exact_readings(rule: Rule) -> dict[Side, tuple[Measure, ...]]:
    """The readings that are written as they are, not rounded, so that no two of them read the same."""
    found = {side: tuple(filter(is_shown_exactly, known)) for side, known in readings(rule).items()}
    return {side: known for side, known in found.items() if known}


def _inside(rule: Rule, low: Measure, high: Measure) -> list[Measure]:
    if rule.operator is Operator.EXACT:
        return [low]
    if rule.operator is Operator.MIN:
        return _near(rule, low, 1)
    if rule.operator is Operator.MAX:
        return [reading for reading in _near(rule, high, -1) if reading.value != 0]
    step = min(grid(rule, high), (high.value - low.value) / 4)
    return [
        low.plus(step * n) for n in range(1, int((high.value - low.value) / step)) if low.value + step * n < high.value
    ]


def allows(rule: Rule, error: NamedError, reading: Measure) -> Side | None:
    """Where somebody who makes this error would place the reading; None when the error gives no limit."""
    low = error.low or (rule.low if error.high else error.value)
    high = error.high or (rule.high if error.low else error.value)
    if low is None or high is None:
        return None
    if rule.operator is not Operator.MAX and reading < low:
        return Side.LOW
    if rule.operator is not Operator.MIN and reading > high:
        return Side.HIGH
    return Side.INSIDE


def judged(rule: Rule, reading: Measure, true: Side, said: Side) -> Choice:
    claim = Verdict(reading, said)
    if said is true:
        return Choice(SAID[said], claim)
    for error in rule.errors:
        if allows(rule, error, reading) is said:
            return Choice(SAID[said], claim, error.key, rule.say(error.name))
    key, name = ERRORS[true, said]
    return Choice(SAID[said], claim, key, name)


def _fits(rule: Rule) -> bool:
    needed = (rule.low, rule.high) if rule.operator is Operator.RANGE else (rule.value,)
    return rule.numeric and rule.unit not in RATIOS and None not in needed and len(readings(rule)) > 1


@kept
def _asked(rule: Rule, true: Side, place: int) -> Draft:
    """The question about one of the readings."""
    reading = readings(rule)[true][place]
    choices = tuple(judged(rule, reading, true, said) for said in (Side.LOW, Side.INSIDE, Side.HIGH))
    return Draft(stem(rule, ASK, reading=reading.words), choices, show(reading))


def _make(rule: Rule, chance: Chance) -> Draft:
    known = readings(rule)
    true = chance.pick(sorted(known))
    return _asked(rule, true, chance.below(len(known[true])))


PATTERN = Pattern("judge-reading", "one", _fits, _make)
