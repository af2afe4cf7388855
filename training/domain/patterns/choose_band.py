"""Which band does this roof fall in, and what does it demand? Wrong options: the other bands and named errors."""

from fractions import Fraction

from training.domain.chance import Chance
from training.domain.claims import Demand
from training.domain.kept import kept
from training.domain.patterns.shared import Choice, Draft, Pattern, distinct, stem
from training.domain.rules import Band, Operator, Rule
from training.domain.text import Text, both
from training.domain.unit_table import UNITS
from training.domain.units import Measure, show

WRONG = 3
EDGE_ONE_IN = 4
"""One question in four asks for a value on the edge of a band, where the edge is the point."""
BY_PITCH = Text("roof slope", "pendiente del techo")
ASK = Text("{quantity}. {by}: {given}. What does the rule ask for?", "{quantity}. {by}: {given}. ¿Qué pide la regla?")
OTHER_BAND = Text("That is the rule for another band: {band}.", "Esa es la regla de otra franja: {band}.")
UP_TO = Text("up to and including {upto}", "hasta {upto} inclusive")
BELOW = Text("below {upto}", "menos de {upto}")
ABOVE = Text("above {above}", "más de {above}")
FROM = Text("from {above}", "desde {above}")


@kept
def interval(band: Band) -> Text:
    """A band's stretch in words: `above 6:12, up to and including 7:12`."""

    def words(language: str) -> str:
        ends = {"above": band.above, "upto": band.upto}
        shown = {name: show(end, language) for name, end in ends.items() if end is not None}
        start = (FROM if band.includes_above else ABOVE)[language] if band.above else ""
        end = (UP_TO if band.closed else BELOW)[language] if band.upto else ""
        return ", ".join(part for part in (start, end) if part).format_map(shown)

    return both(words)


@kept
def demand(band: Band, rule: Rule) -> Text:
    """What the band asks for: its sentence with its number, or the number alone."""

    def words(language: str) -> str:
        value = {} if band.value is None else {"value": show(band.value, language)}
        sentence = band.text[language] if band.text else "{value}"
        return sentence.format_map({**rule.parts(language), **value})

    return both(words)


@kept
def _givens(rule: Rule, place: int) -> tuple[Measure, ...]:
    """Values of the deciding quantity well inside the band, on the steps people read."""
    band, step = rule.bands[place], UNITS[rule.by].step
    low = band.above.value if band.above else max(Fraction(0), (band.upto.value if band.upto else 0) - 6 * step)
    high = band.upto.value if band.upto else low + 8 * step
    if high - low <= step:
        step = (high - low) / 4
    steps = (low + step * n for n in range(1, int((high - low) / step) + 1))
    return tuple(Measure(value, rule.by) for value in steps if value < high)


def _edge(band: Band) -> Measure | None:
    """The end value that still belongs to the band."""
    if band.upto is not None and band.closed:
        return band.upto
    return band.above if band.includes_above else None


def _errors(rule: Rule, given: Measure) -> list[Choice]:
    return [
        Choice(rule.say(error.text), Demand(given, None), error.key, rule.say(error.name))
        for error in rule.errors
        if error.text is not None
    ]


def _others(rule: Rule, given: Measure, place: int) -> list[Choice]:
    found = []
    for other, band in enumerate(rule.bands):
        if other != place:
            name = interval(band)
            said = OTHER_BAND.filled(lambda language, name=name: {"band": name[language]})  # type: ignore[misc]
            found.append(Choice(demand(band, rule), Demand(given, other), f"band-{other + 1}", said))
    return found


def _right(rule: Rule, given: Measure, place: int) -> Choice:
    return Choice(demand(rule.bands[place], rule), Demand(given, place))


def _fits(rule: Rule) -> bool:
    if rule.operator is not Operator.BANDS:
        return False
    given = Measure(Fraction(0), rule.by)
    return all(
        len(distinct([_right(rule, given, place), *_others(rule, given, place), *_errors(rule, given)])) > 1
        for place in range(len(rule.bands))
    )


def _given(rule: Rule, place: int, chance: Chance) -> tuple[Measure, bool]:
    edge = _edge(rule.bands[place])
    inside = _givens(rule, place)
    if edge is not None and (not inside or chance.below(EDGE_ONE_IN) == 0):
        return edge, True
    return chance.pick(inside), False


def _make(rule: Rule, chance: Chance) -> Draft:
    place = chance.below(len(rule.bands))
    given, on_edge = _given(rule, place, chance)
    right, *wrong = distinct([_right(rule, given, place), *_others(rule, given, place), *_errors(rule, given)])
    picked = [right, *chance.some(wrong, WRONG)]
    mixed = _sorted(rule, picked) if _all_numbers(rule, picked) else chance.shuffled(picked)
    by = rule.by_quantity or BY_PITCH
    asked = stem(rule, ASK, by=both(lambda language: by[language][:1].upper() + by[language][1:]),
                 given=given.words)  # fmt: skip
    return Draft(asked, tuple(mixed), show(given), on_edge)


def _number(rule: Rule, choice: Choice) -> Measure | None:
    place = choice.claim.band if isinstance(choice.claim, Demand) else None
    return rule.bands[place].value if place is not None and rule.bands[place].text is None else None


def _all_numbers(rule: Rule, choices: list[Choice]) -> bool:
    return all(_number(rule, choice) is not None for choice in choices)


def _sorted(rule: Rule, choices: list[Choice]) -> list[Choice]:
    return sorted(choices, key=lambda choice: _number(rule, choice) or Measure(Fraction(0), rule.unit))


PATTERN = Pattern("choose-band", "one", _fits, _make)
