"""What a rule says about how it can be asked: what it is confused with, what is worked out from it, how it is drawn."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from training.domain.json_reading import Node
from training.domain.rule_errors import PARTS, is_wrong, same_shape
from training.domain.rules import PRACTICE, NamedError, Operator, Rule, Sketch
from training.domain.text import Text
from training.domain.unit_table import UNITS

OTHER_RULE = Text("That belongs to another rule: {quantity}.", "Eso es de otra regla: {quantity}.")
PROFILES = ("low", "medium", "high")
PLACES = ("pan", "crown", "lock", "none")
"""Where a pad can lie: under the low part, under the high part, in the side lock, nowhere."""
LENGTHS = ("pad_length", "pad_width", "pad_height", "lap", "overhang")


def _is(kind: str, *operators: Operator) -> Callable[[Rule], bool]:
    """Has the rule a unit of this kind, and one of these operators?"""

    def fits(rule: Rule) -> bool:
        return rule.operator in operators and bool(rule.unit) and UNITS[rule.unit].kind == kind

    return fits


def _limits_tiles(rule: Rule) -> bool:
    return rule.operator in (Operator.MAX, Operator.EXACT) and rule.unit in ("tile", "one_in")


def _counts(rule: Rule) -> bool:
    return rule.operator is Operator.EXACT and not UNITS[rule.unit].pint if rule.unit else False


CALCULATIONS: dict[str, Callable[[Rule], bool]] = {
    "area": _is("area", Operator.MIN),
    "checks": _limits_tiles,
    "exposure": _is("length", Operator.MIN),
    "per_square": lambda rule: rule.operator in (Operator.MIN, Operator.EXACT) and rule.unit == "tile/square",
    "per_tile": _counts,
    "share": _is("share", Operator.MAX),
    "slope": _is("slope", Operator.MIN, Operator.MAX, Operator.EXACT),
}
"""What can be worked out, and for which rules."""

SKETCHES: dict[str, Callable[[Rule], bool]] = {
    **{kind: _is("length", Operator.MIN, Operator.MAX, Operator.EXACT) for kind in LENGTHS},
    "slope": _is("slope", Operator.MIN, Operator.MAX, Operator.EXACT),
    "ladder": _is("one to", Operator.EXACT),
    "pad_place": lambda rule: rule.operator in PRACTICE,
}
"""What can be drawn, and for which rules."""


# --- rules that are confused --------------------------------------------------------------------------------------


def with_neighbours(rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """The rules with the limits of those they are confused with, as errors somebody could make about them."""
    known = {rule.key: rule for rule in rules}
    return tuple(
        replace(rule, neighbours=tuple(_neighbours(rule, known))) if rule.confused_with else rule for rule in rules
    )


def _neighbours(rule: Rule, known: Mapping[str, Rule]) -> list[NamedError]:
    """Only limits that would be wrong here: two rules may happen to have the same number."""
    others = [known[key] for key in rule.confused_with if key in known and key != rule.key]
    found = [_as_error(other) for other in others if same_shape(rule, other)]
    return [error for error in found if is_wrong(rule, error)]


def _as_error(other: Rule) -> NamedError:
    name = OTHER_RULE.filled(lambda language: {"quantity": other.quantity[language]})
    return NamedError(f"like-{other.key}", name, **{part: getattr(other, part) for part in PARTS}, like=other.key)


# --- reading and checking -----------------------------------------------------------------------------------------


def read_sketch(node: Node) -> Sketch | None:
    """How the rule is drawn, where the book says so."""
    if not node.has("drawing"):
        return None
    given = Node(node.data["drawing"], f"{node.place}.drawing", node.faults)
    given.only(("kind", "profile", "places"))
    places = Node(given.mapping("places"), f"{given.place}.places", node.faults)
    return Sketch(
        given.one_of("kind", sorted(SKETCHES)),
        given.one_of("profile", PROFILES, PROFILES[0]),
        {key: places.one_of(key, PLACES) for key in places.data},
    )


def check_hints(rule: Rule, known: Mapping[str, Rule], node: Node) -> None:
    """Hints point at rules that exist and can be confused, and ask only for what the rule can give."""
    for key in rule.confused_with:
        other = known.get(key)
        if other is None or other.key == rule.key:
            node.fault("book.confused_unknown", "confused_with", rule=key)
        elif not rule.numeric or not same_shape(rule, other):
            node.fault("book.confused_other_kind", "confused_with", rule=key)
    if rule.calculation and not CALCULATIONS[rule.calculation](rule):
        node.fault("book.calculation_does_not_fit", "calculation", calculation=rule.calculation)
    if rule.sketch is not None:
        _check_sketch(rule, rule.sketch, node)


def _check_sketch(rule: Rule, sketch: Sketch, node: Node) -> None:
    if not SKETCHES[sketch.kind](rule):
        node.fault("book.drawing_does_not_fit", "drawing.kind", kind=sketch.kind)
    elif sketch.kind == "pad_place":
        _check_places(rule, sketch, node)


def _check_places(rule: Rule, sketch: Sketch, node: Node) -> None:
    """The right place and at least two wrong ones, all different."""
    errors = {error.key for error in rule.errors}
    for key in sketch.places.keys() - errors - {"right"}:
        node.fault("book.drawing_place_unknown", f"drawing.places.{key}", error=key)
    if "right" not in sketch.places or not 3 <= len(sketch.places) == len(set(sketch.places.values())):
        node.fault("book.drawing_places", "drawing.places")
