"""What an answer claims about a rule, and whether the rule itself agrees: this re-judges every option of a question."""

from dataclasses import dataclass
from fractions import Fraction

from training.domain.rules import Operator, Rule, Side
from training.domain.sums import Sum, area_of, solve
from training.domain.units import Measure


@dataclass(frozen=True)
class StatedLimit:
    """ "The limit is this value." `part` is value, low or high."""

    stated: Measure
    part: str = "value"


@dataclass(frozen=True)
class StatedRange:
    """ "The limits are these two values." """

    low: Measure
    high: Measure


@dataclass(frozen=True)
class Verdict:
    """ "This reading is under, inside or over the limits." """

    reading: Measure
    side: Side


@dataclass(frozen=True)
class Demand:
    """ "For this value of the deciding quantity, the band at that place applies." None: none of the bands."""

    by: Measure
    band: int | None


@dataclass(frozen=True)
class Practice:
    """ "This is the right practice"; `error` is the key of the named error it is, None for the rule's own."""

    error: str | None


@dataclass(frozen=True)
class Sequence:
    """ "The acts come in this order", by their keys; some acts may be left out, the order of the rest counts."""

    acts: tuple[str, ...]


@dataclass(frozen=True)
class Covers:
    """ "A pad so long and so wide covers this area, and that is enough", or not enough."""

    length: Measure
    width: Measure
    area: Measure
    enough: bool


@dataclass(frozen=True)
class SameSlope:
    """ "This slope is that one, written otherwise", to the nearest whole number or half where it is rounded."""

    given: Measure
    stated: Measure


@dataclass(frozen=True)
class Comes:
    """ "With the rule's value, the sum comes to this." """

    sum: Sum
    stated: Measure


@dataclass(frozen=True)
class Breaks:
    """ "This reading breaks that rule." """

    rule: Rule
    reading: Measure


Claim = StatedLimit | StatedRange | Verdict | Demand | Practice | Sequence | Covers | SameSlope | Comes | Breaks


def holds(rule: Rule, claim: Claim) -> bool:
    """Does the rule agree with the claim? Values agree within the rule's tolerance, in any unit of the same kind."""
    match claim:
        case StatedLimit():
            return agrees(rule, claim.stated, getattr(rule, claim.part))
        case StatedRange():
            return agrees(rule, claim.low, rule.low) and agrees(rule, claim.high, rule.high)
        case Verdict():
            return rule.side_of(claim.reading) is claim.side
        case Demand():
            return claim.band is not None and rule.band_for(claim.by) == rule.bands[claim.band]
        case Practice():
            return claim.error is None and rule.right is not None
        case Sequence():
            return _in_order(rule, claim.acts)
        case Covers():
            true = area_of(claim.length, claim.width, claim.area.unit)
            return claim.area == true and rule.judge(true).ok is claim.enough
        case SameSlope():
            return _same_slope(claim.given, claim.stated)
        case Comes():
            return rule.value is not None and claim.stated == solve(rule.value, claim.sum)
        case Breaks():
            return claim.rule.side_of(claim.reading) is not Side.INSIDE


def agrees(rule: Rule, stated: Measure, true: Measure | None) -> bool:
    """Is the stated value the true one, within the rule's tolerance?"""
    if true is None or stated.kind != true.kind:
        return False
    return abs(stated.to(rule.unit).value - true.to(rule.unit).value) <= rule.tolerance


def _same_slope(given: Measure, stated: Measure) -> bool:
    """Equal to half of the last place: whole degrees and per cents, half steps of a rise in 12."""
    half = Fraction(1, 4) if stated.unit == "pitch" else Fraction(1, 2)
    return abs(given.to(stated.unit).value - stated.value) <= half


def _in_order(rule: Rule, acts: tuple[str, ...]) -> bool:
    if rule.operator is not Operator.ORDER or len(set(acts)) != len(acts):
        return False
    place = {act.key: number for number, act in enumerate(rule.acts)}
    if not set(acts) <= place.keys():
        return False
    return [place[act] for act in acts] == sorted(place[act] for act in acts)
