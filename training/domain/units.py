"""Measures with units: read what a roofer types, convert exactly, show in inches and metric.

Conversion factors come from `pint` (as exact fractions: 1 in = 25.4 mm, NIST SP 811 Appendix B); slopes are geometry.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache, total_ordering
from itertools import pairwise
from typing import Any

from training.domain.errors import BadInput
from training.domain.text import Text, both
from training.domain.unit_table import UNITS, Unit

SIXTEENTH = 16
_PLACES = 3
_LONGEST = 40
_LONGEST_DECIMAL = 9
_POWER_OF_TWO = re.compile("10*")
_NARROW = "\N{NO-BREAK SPACE}"
_STORED = re.compile(
    r"(?P<sign>-)?(?:(?P<whole>[0-9]{1,9}) (?=[0-9]+/))?(?P<part>[0-9]{1,9}(?:\.[0-9]{1,9}|/[1-9][0-9]{0,8})?)"
)


@total_ordering
@dataclass(frozen=True, eq=False)
class Measure:
    """An exact number with a unit. Measures of one kind compare across units: 1 in == 25.4 mm."""

    value: Fraction
    unit: str

    @property
    def kind(self) -> str:
        """What it measures (length, temperature ...); only one kind compares."""
        return UNITS[self.unit].kind

    def to(self, unit: str) -> "Measure":
        """The same in another unit; `ValueError` when it measures something else."""
        return self if unit == self.unit else Measure(_converted(self.value, self.unit, unit), unit)

    @cached_property
    def words(self) -> Text:
        """As it is written, in every language."""
        return both(lambda language: show(self, language))

    def plus(self, amount: Fraction) -> "Measure":
        """Higher by that many of its own units (lower when negative)."""
        return Measure(self.value + amount, self.unit)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Measure) or other.kind != self.kind:
            return False
        return self.value == other.to(self.unit).value

    def __lt__(self, other: "Measure") -> bool:
        return self.value < other.to(self.unit).value

    def __hash__(self) -> int:
        return hash(self.kind)

    def __str__(self) -> str:
        return show(self)


def measure(number: str | int | Fraction, unit: str) -> Measure:
    """A measure from a stored number such as `3/4`, `1 1/2`, `58` or `0.02`; `ValueError` when it is none."""
    return Measure(stored_number(number), unit)


def is_possible(measure: Measure) -> bool:
    """Does it lie inside what its unit can be (no 120 %, nothing colder than can be)?"""
    about = UNITS[measure.unit]
    return measure.value >= about.lowest and (about.highest is None or measure.value <= about.highest)


def stored_number(number: str | int | Fraction) -> Fraction:
    """The exact value of a number as books store it: decimal, fraction or mixed, as text."""
    if isinstance(number, int | Fraction):
        return Fraction(number)
    match = _STORED.fullmatch(number)
    if not match:
        raise ValueError(number)
    value = Fraction(match["part"]) + int(match["whole"] or 0)
    return -value if match["sign"] else value


def number_text(value: Fraction, unit: str = "") -> str:
    """A number as books store it: tape fractions for inches (`1 1/2`), else the decimal where it ends, else a fraction.

    `stored_number` reads it back exactly.
    """
    tape = unit == "in" and _POWER_OF_TWO.fullmatch(f"{value.denominator:b}")
    decimals = next((places for places in range(_LONGEST_DECIMAL + 1) if not (value * 10**places) % 1), None)
    sign, whole, rest = ("-" if value < 0 else ""), *divmod(abs(value), 1)
    if not rest:
        return f"{sign}{whole}"
    if decimals is not None and not tape:
        return f"{sign}{whole}.{int(rest * 10**decimals):0{decimals}}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


# --- converting -----------------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def _registry() -> Any:
    """The one `pint` registry; loading it takes a third of a second, so it waits for the first conversion."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@lru_cache(maxsize=256)
def _line(source: str, target: str) -> tuple[Fraction, Fraction]:
    """Factor and offset from one unit to another: target = factor * source + offset."""
    old, new = UNITS[source], UNITS[target]
    if old.kind != new.kind or not old.pint or not new.pint:
        raise ValueError(f"{source} is not {target}")
    quantity = _registry().Quantity
    start, one = (
        Fraction(quantity(Fraction(n * old.scale), old.pint).to(new.pint).magnitude) / new.scale for n in (0, 1)
    )
    return one - start, start


def _converted(value: Fraction, source: str, target: str) -> Fraction:
    if UNITS[source].kind == UNITS[target].kind == "slope":
        return _from_pitch(_to_pitch(value, source), target)
    factor, offset = _line(source, target)
    return value * factor + offset


def _to_pitch(value: Fraction, unit: str) -> Fraction:
    """Rise in 12 of run."""
    if unit == "degree":
        return Fraction(12 * math.tan(math.radians(value))).limit_denominator(10**6)
    return value * 12 / 100 if unit == "slope_percent" else value


def _from_pitch(rise: Fraction, unit: str) -> Fraction:
    if unit == "degree":
        return Fraction(math.degrees(math.atan(rise / 12))).limit_denominator(10**6)
    return rise * 100 / 12 if unit == "slope_percent" else rise


# --- showing --------------------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def _shown(value: Fraction, unit: str, language: str) -> str:
    about = UNITS[unit]
    number = show_number(value, about)
    if unit == "pitch":
        return f"{number}:12"
    if unit == "one_in":
        return f"1 in {number}" if language != "es" else f"1 de cada {number}"
    if unit == "one_to":
        return f"1:{number}"
    name = (about.one if 0 < value <= 1 else about.many)[language]
    if not name or name == "°":
        return f"{number}{name}"
    return f"{number}{_NARROW}{name}"


def show(measure: Measure, language: str = "en", *, metric: bool = False) -> str:
    """As it is written on the page: `1 1/2 in`, `70 °F`, `6:12`; with `metric`, `1 1/2 in (38 mm)`."""
    language = "es" if language.startswith("es") else "en"
    text = _shown(measure.value, measure.unit, language)
    beside = UNITS[measure.unit].metric
    if not (metric and beside):
        return text
    return f"{text} ({_shown(_rounded(measure.to(beside)), beside, language)})"


def is_shown_exactly(measure: Measure) -> bool:
    """Can its number be read off as it is written, without rounding?"""
    tape = UNITS[measure.unit].fractions and SIXTEENTH % measure.value.denominator == 0
    return tape or _is_short_decimal(measure.value)


def show_number(value: Fraction, unit: Unit) -> str:
    """The number alone, the same in every language: tape fractions to 1/16, else at most three decimals."""
    if unit.fractions and not _is_short_decimal(value):
        value = Fraction(round(value * SIXTEENTH), SIXTEENTH)
    if unit.fractions and SIXTEENTH % value.denominator == 0:
        return _mixed(value)
    return _decimal(value)


def _is_short_decimal(value: Fraction) -> bool:
    return bool((value * 10**_PLACES).denominator == 1)


def _mixed(value: Fraction) -> str:
    sign, value = ("-", -value) if value < 0 else ("", value)
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole}{_NARROW}{rest}" if whole else f"{sign}{rest}"


def _decimal(value: Fraction) -> str:
    thousandths = round(value * 10**_PLACES)
    sign = "-" if thousandths < 0 else ""
    whole, rest = divmod(abs(thousandths), 10**_PLACES)
    return f"{sign}{whole:,}" + (f".{rest:0{_PLACES}}".rstrip("0") if rest else "")


def _rounded(measure: Measure) -> Fraction:
    """Rounded for showing beside the first unit: to its step, finer for small values."""
    step = UNITS[measure.unit].step
    if abs(measure.value) < 10 * step and measure.kind != "temperature":
        step /= 10
    return round(measure.value / step) * step


# --- reading what people type -------------------------------------------------------------------------------------

_VULGAR = {chr(code): unicodedata.normalize("NFKC", chr(code)) for code in (0xBC, 0xBD, 0xBE, *range(0x2150, 0x215F))}
_SIGNS = {
    **dict.fromkeys("\u2033\u201c\u201d\u201f\u3003", '"'),
    **dict.fromkeys("\u2032\u2018\u2019\u00b4`", "'"),
    **dict.fromkeys("\u00ba\u02da", "\u00b0"),
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
    "\u2236": ":",
    **{mark: f" {text} " for mark, text in _VULGAR.items()},
}
_PLAIN = r"[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?|[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+"
_FRACTION = r"(?:(?P<whole>[0-9]+)(?:\s?-\s?|\s(?:and\s|y\s)?))?(?P<top>[0-9]+)\s?/\s?(?P<bottom>[0-9]+)"
_NUMBER = rf"(?P<sign>[-+]\s?)?(?:{_FRACTION}|(?P<plain>{_PLAIN}))"
_SLOPE = re.compile(rf"(?P<rise>{_NUMBER})\s?(?:[:/-]|in|on|en|sobre|a|de|to)\s?(?P<run>[0-9]+)")
_ONE_IN = re.compile(rf"1\s?(?:in|en|de cada|de|out of|of|/)\s?{_NUMBER}")
_ONE_TO = re.compile(rf"1\s?(?:to|a|:|/)\s?{_NUMBER}")
_TOGETHER = {"length", "time", "mass"}


def fold_words(text: str) -> str:
    """Small letters without accents, one space between words, one form for each quote, dash and degree sign."""
    text = "".join(_SIGNS.get(sign, sign) for sign in text).replace("''", '"')
    text = unicodedata.normalize("NFKD", text).replace("\N{FRACTION SLASH}", "/")
    text = "".join(sign for sign in text if not unicodedata.combining(sign)).casefold()
    return " ".join(text.split()).replace("\u00b0 ", "\u00b0")


@lru_cache(maxsize=1)
def _word_table() -> dict[str, tuple[Unit, ...]]:
    table: dict[str, list[Unit]] = {}
    for unit in UNITS.values():
        for word in filter(None, unit.words):
            table.setdefault(fold_words(word), []).append(unit)
    return {word: tuple(units) for word, units in table.items()}


@lru_cache(maxsize=1)
def _part() -> re.Pattern[str]:
    """One number with its unit, if it has one."""
    words = "|".join(re.escape(word) for word in sorted(_word_table(), key=len, reverse=True))
    return re.compile(rf"{_NUMBER}\s?-?(?P<word>(?:{words})(?![a-z]))?\.?[\s,]*(?:(?:and|y)\s)?")


def parse_measure(text: str, unit: str, language: str = "en") -> Measure:
    """Read a typed measure in the unit it was typed in; a bare number means `unit`.

    Raises `BadInput` with an example of the expected unit when it cannot be read or measures something else.
    """
    asked = UNITS[unit]
    typed = fold_words(text)
    if not typed or len(typed) > _LONGEST:
        raise _bad("units.not_a_number", text, unit)
    found = _special(typed, text, asked, language) or _ordinary(typed, text, asked, language)
    if not is_possible(found):
        raise _bad("units.impossible", text, unit)
    return found


def _special(typed: str, text: str, asked: Unit, language: str) -> Measure | None:
    """`6:12`, `1 in 10`, `1:4`: two numbers that are one value."""
    if asked.kind == "slope" and (slope := _SLOPE.fullmatch(typed)):
        if slope["run"] != "12":
            raise _bad("units.slope_in_12", text, asked.key)
        return Measure(_number(slope, text, asked.key, language), "pitch")
    pair = {"one_in": _ONE_IN, "one_to": _ONE_TO}.get(asked.key)
    match = pair.fullmatch(typed) if pair else None
    return Measure(_number(match, text, asked.key, language), asked.key) if match else None


def _ordinary(typed: str, text: str, asked: Unit, language: str) -> Measure:
    parts: list[Measure] = []
    place = 0
    while place < len(typed):
        match = _part().match(typed, place)
        if not match:
            raise _bad("units.unknown_unit" if parts else "units.not_a_number", text, asked.key)
        unit = _unit_meant(match["word"], text, asked)
        parts.append(Measure(_number(match, text, unit.key, language), unit.key))
        place = match.end()
    return _added(parts, text, asked)


def _unit_meant(word: str | None, text: str, asked: Unit) -> Unit:
    if word is None or (asked.kind == "temperature" and word in UNITS["degree"].words):
        return asked
    for unit in _word_table()[word]:
        if unit.kind == asked.kind:
            return unit
    raise _bad("units.wrong_kind", text, asked.key)


def _added(parts: list[Measure], text: str, asked: Unit) -> Measure:
    """`5 ft 6 in` and `1 h 30 min` are one measure, in the last unit named; each unit smaller than the one before."""
    total = parts[-1]
    for before, after in pairwise(parts):
        if asked.kind not in _TOGETHER or Measure(Fraction(1), after.unit) >= Measure(Fraction(1), before.unit):
            raise _bad("units.not_a_number", text, asked.key)
        total = total.plus(before.to(total.unit).value)
    return total


def _number(match: re.Match[str], text: str, unit: str, language: str) -> Fraction:
    if plain := match["plain"]:
        value = _plain_number(plain, text, unit, language)
    elif int(match["bottom"]) == 0:
        raise _bad("units.not_a_number", text, unit)
    else:
        value = Fraction(int(match["top"]), int(match["bottom"])) + int(match["whole"] or 0)
    return -value if (match["sign"] or "").startswith("-") else value


def _plain_number(plain: str, text: str, unit: str, language: str) -> Fraction:
    """`3,8` is 3.8 and `5,000` is five thousand; in Spanish `3,125` inches could be either, so it is asked again."""
    if re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?", plain):
        could_be_part = UNITS[unit].step < 1 and plain.count(",") == 1 and "." not in plain
        if language.startswith("es") and could_be_part:
            raise _bad("units.unclear_comma", text, unit)
        return Fraction(plain.replace(",", ""))
    return Fraction("0" + plain.replace(",", ".", 1) if plain[0] in ".," else plain.replace(",", ".", 1))


def _bad(key: str, text: str, unit: str) -> BadInput:
    """A refusal that shows how the answer could look."""
    return BadInput(key, text=text[:_LONGEST], example=example(unit))


def example(unit: str) -> Measure:
    """A measure to show as an example of how to type this unit; says nothing about any rule."""
    return Measure(Fraction(3, 2) if UNITS[unit].fractions and unit != "pitch" else Fraction(5), unit)
