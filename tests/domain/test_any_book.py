"""Whatever numbers a company's book holds: every question it can ask has one right answer, can be drawn and read."""

from fractions import Fraction
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.domain.trade_book import number, wrong
from training.domain.answers import error_name, is_right
from training.domain.lint import lint_question
from training.domain.questions import patterns_for, question
from training.domain.rule_hints import CALCULATIONS, SKETCHES
from training.domain.rule_json import BookFaults
from training.domain.rules import Rule, RuleBook
from training.domain.text import LANGUAGES
from training.domain.unit_table import UNITS
from training.domain.units import number_text
from training.drawings.figures import figure

NUMBERS = st.one_of(
    st.integers(1, 12).map(Fraction), st.integers(1, 5000).map(Fraction),
    st.fractions(Fraction(1, 8), 40, max_denominator=16).map(lambda n: Fraction(round(n * 16), 16)),
    st.decimals("0.001", "40", places=3, allow_nan=False).map(Fraction),
)  # fmt: skip
FACTORS = [Fraction(1, 2), Fraction(2), Fraction(3, 4), Fraction(3, 2)]


def written(values: dict[str, Fraction], unit: str) -> dict[str, str]:
    return {name: number_text(value, unit) for name, value in values.items()}


@st.composite
def rules(draw: st.DrawFn) -> dict[str, Any]:
    """A rule with any unit, any number and every hint that its kind allows."""
    unit = draw(st.sampled_from(sorted(UNITS)))
    operator = draw(st.sampled_from(["min", "max", "exact", "range"]))
    low = draw(NUMBERS)
    true = {"low": low, "high": low + draw(NUMBERS)} if operator == "range" else {"value": low}
    errors = [
        wrong(f"e-{'abcd'[place]}", **written({name: value * factor for name, value in true.items()}, unit))
        for place, factor in enumerate(FACTORS)
    ]
    return number("any-rule", "pad", operator, unit, errors, **written(true, unit), critical=False)


def with_hints(data: dict[str, Any]) -> list[dict[str, Any]]:
    plain = _parsed([data])
    calculations = [name for name, fits in CALCULATIONS.items() if fits(plain.rules[0])]
    kinds = [name for name, fits in SKETCHES.items() if name != "pad_place" and fits(plain.rules[0])]
    return [
        {
            **data,
            **({"calculation": calculation} if calculation else {}),
            **({"drawing": {"kind": kind}} if kind else {}),
        }
        for calculation in calculations or [""]
        for kind in kinds[:2] or [""]
    ]


def _parsed(rules: list[dict[str, Any]]) -> RuleBook:
    others = [
        number(f"rule-{letter}", "pad", "min", "h", [wrong("a", value="1"), wrong("b", value="9"),
               wrong("c", value="12")], value="4")
        for letter in "abcd"
    ]  # fmt: skip
    topics = [{"key": "pad", "title": {"en": "pad", "es": "pad"}}]
    return RuleBook.parse({
        "format": "headlap-rule-book/1", "product": {"name": "Any foam", "kind": "one-component"}, "topics": topics,
        "rules": [*rules, *others],
    })  # fmt: skip


@settings(max_examples=150)
@given(rules(), st.integers(0, 99))
def test_every_question_of_any_rule_holds(data: dict[str, Any], seed: int) -> None:
    try:
        variants = with_hints(data)
    except BookFaults:
        assume(False)
    for variant in variants:
        book = _parsed([variant])
        for pattern in patterns_for(book.rules[0], book):
            _holds(book.rules[0], pattern, f"{seed}", book)


def _holds(rule: Rule, pattern: str, seed: str, book: RuleBook) -> None:
    made = question(rule, pattern, seed, book)
    assert is_right(made, made.right)
    grave = [finding for finding in lint_question(made) if finding.grave]
    assert not grave, (pattern, grave)
    for language in LANGUAGES:
        public = made.public(language)
        for drawn in [public.figure, *(option.figure for option in public.options)]:
            assert drawn is None or figure(drawn, language).startswith("<svg")
    for option in made.options:
        if made.answer in ("one", "many") and not option.right:
            assert error_name(made, option.letter) is not None
