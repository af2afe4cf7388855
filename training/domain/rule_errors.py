"""Named errors of a rule: wrong values given as numbers, or as relations that follow the rule's own value.

A relation is `{"factor": "1/2"}` or `{"plus": "-10"}` in place of a number, or `"like": "other-rule"` for a mix-up with
the number of another rule. A starter book has no numbers yet, so its errors can only be relations.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from training.domain.json_reading import Node
from training.domain.rules import Move, NamedError, Operator, Rule
from training.domain.unit_table import UNITS
from training.domain.units import Measure, is_possible

FIELDS = ("key", "name", "unit", "value", "low", "high", "like", "text")
PARTS = ("value", "low", "high")
FEWEST_NUMERIC = 3
_TAPE = Fraction(1, 8)
_SMALL = 3


# --- reading ------------------------------------------------------------------------------------------------


def read_errors(node: Node, unit: str, parts: set[str]) -> tuple[NamedError, ...]:
    """The errors of one rule, relations not yet worked out."""
    return tuple(_error(item, unit, parts) for item in node.nodes("errors", FIELDS))


def _error(item: Node, unit: str, parts: set[str]) -> NamedError:
    own = item.unit("unit", unit)
    moves = {name: _move(item, name) for name in PARTS if isinstance(item.data.get(name), Mapping)}
    given = {name: None if name in moves else item.measure(name, own) for name in PARTS}
    if (moves or item.has("like")) and own != unit:
        item.fault("book.relation_has_unit", "unit")
    return NamedError(
        item.key(), item.text("name", parts), **given, text=item.maybe_text("text", parts), moves=moves,
        like=item.string("like", ""),
    )  # fmt: skip


def _move(item: Node, name: str) -> Move:
    node = Node(item.data[name], f"{item.place}.{name}", item.faults)
    node.only(("factor", "plus"))
    factor, plus = node.number("factor"), node.number("plus")
    if (factor is None) == (plus is None) or factor == 1 or plus == 0 or (factor is not None and factor <= 0):
        node.fault("book.bad_relation")
    return Move(factor, plus)


# --- working out ----------------------------------------------------------------------------------------------


def settle(rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """The rules with the relations of their errors worked out from the values that are there.

    A relation that comes out right, or as something that cannot be, leaves its error without a value.
    """
    known = {rule.key: rule for rule in rules}
    return tuple(_settled(rule, known) for rule in rules)


def _settled(rule: Rule, known: Mapping[str, Rule]) -> Rule:
    if not any(error.moves or error.like for error in rule.errors):
        return rule
    return replace(rule, errors=tuple(_worked_out(rule, error, known) for error in rule.errors))


def _worked_out(rule: Rule, error: NamedError, known: Mapping[str, Rule]) -> NamedError:
    other = known.get(error.like)
    if other is not None and same_shape(rule, other):
        return _unless_right(rule, replace(error, value=other.value, low=other.low, high=other.high))
    if not error.moves:
        return error
    value, low, high = (_moved(getattr(rule, name), error.moves.get(name)) for name in PARTS)
    return _unless_right(rule, replace(error, value=value, low=low, high=high))


def same_shape(rule: Rule, other: Rule) -> bool:
    """Can the other rule's number stand in the place of this one's?"""
    pair = rule.operator is Operator.RANGE
    return other.numeric and rule.unit == other.unit and pair is (other.operator is Operator.RANGE)


def _moved(true: Measure | None, move: Move | None) -> Measure | None:
    if true is None or move is None:
        return None
    value = true.value * move.factor if move.factor is not None else true.value + (move.plus or 0)
    found = Measure(_readable(value, true.unit), true.unit)
    return found if is_possible(found) else None


def _readable(value: Fraction, unit: str) -> Fraction:
    """Rounded to what people read off: eighths of an inch, whole counts and degrees, tenths of what is small."""
    about = UNITS[unit]
    if unit == "in" and abs(value) >= 4 * _TAPE:
        step = _TAPE
    elif about.fractions or not about.pint:
        step = about.step
    else:
        step = Fraction(1) if abs(value) >= _SMALL else Fraction(1, 10)
    return round(value / step) * step


def _unless_right(rule: Rule, error: NamedError) -> NamedError:
    low, high = error.low or rule.low, error.high or rule.high
    backwards = low is not None and high is not None and low >= high
    if backwards or not is_wrong(rule, error) or _senseless(error):
        return replace(error, value=None, low=None, high=None)
    return error


def _senseless(error: NamedError) -> bool:
    """Is a number nothing, or less than nothing, where only a temperature may be?"""
    numbers = (getattr(error, name) for name in PARTS)
    return any(number is not None and number.kind != "temperature" and number.value <= 0 for number in numbers)


def is_wrong(rule: Rule, error: NamedError) -> bool:
    """Does the error's number lie outside the tolerance of the rule's?"""
    pairs = ((getattr(error, name), getattr(rule, name)) for name in PARTS)
    return any(
        number is not None and true is not None and abs(number.to(rule.unit).value - true.value) > rule.tolerance
        for number, true in pairs
    )


# --- checking -------------------------------------------------------------------------------------------------


def valued(rule: Rule) -> Iterator[NamedError]:
    """The errors that lead to a number."""
    return (error for error in rule.errors if any(getattr(error, name) is not None for name in PARTS))


def check_errors(rule: Rule, known: Mapping[str, Rule], node: Node, *, draft: bool) -> None:
    """A numeric rule has enough errors, each wrong and of the right kind; relations point at something."""
    found = list(valued(rule))
    if len(found) < FEWEST_NUMERIC and not draft:
        node.fault("book.few_errors", "errors", least=FEWEST_NUMERIC, found=len(found))
    for error in rule.errors:
        _check_like(rule, error, known, node)
    for error in found:
        _check_number(rule, error, node)


def _check_like(rule: Rule, error: NamedError, known: Mapping[str, Rule], node: Node) -> None:
    if not error.like:
        return
    other = known.get(error.like)
    if other is None or other is rule or other.key == rule.key:
        node.fault("book.like_unknown", f"errors.{error.key}.like", rule=error.like)
    elif not same_shape(rule, other):
        node.fault("book.like_other_kind", f"errors.{error.key}.like", rule=error.like)


def _check_number(rule: Rule, error: NamedError, node: Node) -> None:
    numbers = [getattr(error, name) for name in PARTS]
    if any(number is not None and number.kind != UNITS[rule.unit].kind for number in numbers):
        node.fault("book.error_other_kind", f"errors.{error.key}")
    elif not is_wrong(rule, error) and (rule.value or rule.low):
        node.fault("book.error_is_right", f"errors.{error.key}")
