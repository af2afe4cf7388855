"""What is wrong here: a short log with one value outside the rule's limits, among values that keep other rules."""

from training.domain.chance import Chance
from training.domain.claims import Breaks
from training.domain.kept import kept
from training.domain.patterns.judge_reading import RATIOS, exact_readings
from training.domain.patterns.shared import Choice, Draft, Pattern
from training.domain.rules import Operator, Rule, RuleBook, Side
from training.domain.text import Text, both
from training.domain.units import Measure, show

OTHERS = 3
ASK = Text(
    "A crew measured this on one day. Which value is outside its limits?",
    "Una cuadrilla midió esto en un día. ¿Qué valor está fuera de sus límites?",
)
FINE = Text("This value keeps its limit: {limit}.", "Este valor respeta su límite: {limit}.")
LOGGED = frozenset({Operator.MIN, Operator.MAX, Operator.RANGE})


@kept
def _can_stand(rule: Rule) -> bool:
    """Can an entry about it be judged? An exact value would tell the answer of another question."""
    needed = (rule.low, rule.high) if rule.operator is Operator.RANGE else (rule.value,)
    usable = rule.operator in LOGGED and rule.unit not in RATIOS and None not in needed
    return usable and Side.INSIDE in exact_readings(rule)


@kept
def _others(rule: Rule, book: RuleBook) -> tuple[Rule, ...]:
    """Rules whose entries can stand beside: none that is confused with this one, as nobody could tell them apart."""
    mixed = {rule.key, *rule.confused_with}
    return tuple(one for one in book.rules if one.key not in mixed and rule.key not in one.confused_with
                 if _can_stand(one))  # fmt: skip


def _fits(rule: Rule, book: RuleBook) -> bool:
    return _can_stand(rule) and len(exact_readings(rule)) > 1 and len(_others(rule, book)) >= OTHERS


def _entry(rule: Rule, reading: Measure) -> Text:
    return both(lambda language: f"{rule.heading[language]}: {reading.words[language]}")


@kept
def _fine(rule: Rule) -> tuple[Choice, ...]:
    """Entries within the limits, for every reading."""
    limit = rule.limit_text()
    name = FINE.filled(lambda language: {"limit": limit[language]})
    inside = exact_readings(rule)[Side.INSIDE]
    return tuple(Choice(_entry(rule, one), Breaks(rule, one), "keeps-the-rule", name) for one in inside)


@kept
def _faulty(rule: Rule) -> tuple[tuple[Measure, Choice], ...]:
    """Entries beyond the limits, for every reading."""
    sides = sorted(exact_readings(rule).items())
    beyond = [reading for side, known in sides if side is not Side.INSIDE for reading in known]
    return tuple((reading, Choice(_entry(rule, reading), Breaks(rule, reading))) for reading in beyond)


def _make(rule: Rule, chance: Chance, book: RuleBook) -> Draft:
    reading, right = chance.pick(_faulty(rule))
    others = chance.some(_others(rule, book), OTHERS)
    mixed = chance.shuffled([right, *(chance.pick(_fine(other)) for other in others)])
    return Draft(ASK, tuple(mixed), show(reading), also=tuple(other.key for other in others))


PATTERN = Pattern("find-fault", "one", fits_in=_fits, make_in=_make)
