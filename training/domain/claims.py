"""What an answer claims about a rule, and whether the rule itself agrees: this re-judges every option of a question."""

from dataclasses import dataclass

from training.domain.rules import Operator, Rule, Side
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


Claim = StatedLimit | StatedRange | Verdict | Demand | Practice | Sequence


def holds(rule: Rule, claim: Claim) -> bool:
    """Does the rule agree with the claim? Values agree within the rule's tolerance, in any unit of the same kind."""
    match claim:
        case StatedLimit():
            return agrees(rule, claim.stated, getattr(rule, claim.part))
        case StatedRange():
            return agrees(rule, claim.low, rule.low) and agrees(rule, claim.high, rule.high)
        case Verdict():
            return rule.judge(claim.reading).side is claim.side
        case Demand():
            return claim.band is not None and rule.band_for(claim.by) == rule.bands[claim.band]
        case Practice():
            return claim.error is None and rule.right is not None
        case Sequence():
            return _in_order(rule, claim.acts)


def agrees(rule: Rule, stated: Measure, true: Measure | None) -> bool:
    """Is the stated value the true one, within the rule's tolerance?"""
    if true is None or stated.kind != true.kind:
        return False
    return abs(stated.to(rule.unit).value - true.to(rule.unit).value) <= rule.tolerance


def _in_order(rule: Rule, acts: tuple[str, ...]) -> bool:
    if rule.operator is not Operator.ORDER or len(set(acts)) != len(acts):
        return False
    place = {act.key: number for number, act in enumerate(rule.acts)}
    if not set(acts) <= place.keys():
        return False
    return [place[act] for act in acts] == sorted(place[act] for act in acts)
