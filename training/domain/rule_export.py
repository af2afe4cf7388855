"""Writes a rule book as JSON, `headlap-rule-book/1`, in one canonical order: the same book always gives the same bytes.

`rule_json` reads it back without loss. What a book leaves open (a draft's values) is left out.
"""

import json
from collections.abc import Iterable, Mapping
from fractions import Fraction

from training.domain.rule_errors import PARTS
from training.domain.rule_json import FORMAT
from training.domain.rules import Band, CheckItem, Limits, Move, NamedError, Rule, RuleBook, Sketch, Source, Topic
from training.domain.text import Text
from training.domain.units import Measure, number_text

Json = dict[str, object]


def export_book(book: RuleBook) -> Json:
    """The book as JSON values."""
    return {
        "format": FORMAT,
        "product": {"name": book.product, "kind": book.kind},
        "topics": [export_topic(topic) for topic in book.topics],
        "rules": [export_rule(rule) for rule in book.rules],
        "checklist": [export_item(item) for item in book.checklist],
    }


def book_file(book: RuleBook) -> str:
    """The book as the text of a file."""
    return json.dumps(export_book(book), ensure_ascii=False, indent=1) + "\n"


def export_topic(topic: Topic) -> Json:
    """One chapter."""
    return {"key": topic.key, "title": _text(topic.title)}


def export_rule(rule: Rule) -> Json:
    """One rule; fields without content are left out."""
    return _filled(
        key=rule.key,
        topic=rule.topic,
        operator=str(rule.operator),
        quantity=_text(rule.quantity),
        unit=rule.unit,
        value=_number(rule.value),
        low=_number(rule.low),
        high=_number(rule.high),
        bands=_bands(rule.bands),
        by=rule.by,
        by_quantity=_text(rule.by_quantity),
        tolerance=number_text(rule.tolerance, rule.unit) if rule.tolerance else None,
        applies={family: list(keys) for family, keys in rule.applies.items()},
        text=_text(rule.text),
        why=_text(rule.why),
        goes_wrong=_text(rule.goes_wrong),
        critical=rule.critical,
        errors=[_error(error, rule.unit) for error in rule.errors],
        right=_text(rule.right),
        acts=[{"key": act.key, **(_text(act.text) or {})} for act in rule.acts],
        ask=_text(rule.ask),
        numbers={name: {"value": _number(number), "unit": number.unit} for name, number in rule.numbers.items()},
        source=_source(rule.source),
        usual=_limits(rule.usual),
        confused_with=list(rule.confused_with),
        calculation=rule.calculation,
        drawing=_sketch(rule.sketch),
    )


def export_item(item: CheckItem) -> Json:
    """One act of the checklist; what a reader assumes anyway is left out."""
    return _filled(
        key=item.key,
        group=_text(item.group),
        act=_text(item.act),
        type=item.kind,
        rule=item.rule,
        repeat=item.repeat if item.repeat != 1 else None,
        need=item.need if item.need != item.repeat else None,
        in_a_row=item.in_a_row or None,
        weight=item.weight if item.weight != "normal" else None,
        least=item.least if item.least != 1 else None,
        scopes=sorted(item.scopes),
    )


def _filled(**fields: object) -> Json:
    """The fields that say something. A zero and a no do."""
    return {name: value for name, value in fields.items() if value is not None and value not in ("", [], {})}


def _text(text: Text | None) -> dict[str, str] | None:
    return {"en": text.en, "es": text.es} if text is not None else None


def _number(number: Measure | None) -> str | None:
    return number_text(number.value, number.unit) if number is not None else None


def _bands(bands: Iterable[Band]) -> list[Json]:
    found: list[Json] = []
    for band in bands:
        start = _filled(**{"from": _number(band.above)}) if not found else {}
        if start and not band.includes_above:
            start["from_closed"] = False
        end = _filled(upto=_number(band.upto))
        if not band.closed:
            end["closed"] = False
        found.append({**start, **end, **_filled(value=_number(band.value), text=_text(band.text))})
    return found


def _error(error: NamedError, unit: str) -> Json:
    numbers = {name: getattr(error, name) for name in PARTS}
    own = next((number.unit for number in numbers.values() if number is not None), unit)
    related = bool(error.moves or error.like)
    given: Mapping[str, object] = (
        {name: _move(move, unit) for name, move in error.moves.items()}
        if related
        else {name: _number(number) for name, number in numbers.items()}
    )
    return _filled(
        key=error.key,
        unit=own if own != unit else None,
        **{name: given.get(name) for name in PARTS},
        like=error.like,
        text=_text(error.text),
        name=_text(error.name),
    )


def _move(move: Move, unit: str) -> Json:
    return _filled(factor=_fraction(move.factor), plus=number_text(move.plus, unit) if move.plus else None)


def _fraction(number: Fraction | None) -> str | None:
    """A factor reads better as a share: `1/2`, `3/4`."""
    if number is None:
        return None
    whole, rest = divmod(number, 1)
    return f"{whole} {rest}" if whole and rest else str(number)


def _source(source: Source | None) -> Json | None:
    if source is None:
        return None
    return _filled(kind=source.kind, citation=source.citation, revision=source.revision, page=source.page)


def _sketch(sketch: Sketch | None) -> Json | None:
    if sketch is None:
        return None
    profile = sketch.profile if sketch.kind.startswith("pad") else ""
    return _filled(kind=sketch.kind, profile=profile, places=dict(sketch.places))


def _limits(limits: Limits) -> Json:
    return _filled(low=_number(limits.low), high=_number(limits.high))
