"""An independent judge of questions: reads only a book's JSON and the words people see; shares no code with the engine.

It answers with the letters (or the sequence, or the number) that the book's data make right.
"""

import math
import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

NUMBER = re.compile(r"-?\d[\d,]*(?:\.\d+)?(?: \d+/\d+|/\d+)?")
UNDER = ("under the limit", "por debajo")
OVER = ("over the limit", "por encima")
WITHIN = ("within the limits", "dentro de los límites")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def read(number: str) -> Fraction:
    """`1 1/2`, `5,000`, `0.02`, `3/4` as people read them."""
    whole, _, part = number.replace(",", "").rpartition(" ")
    return Fraction(part) + (Fraction(whole) if whole else 0)


def numbers(text: str) -> list[Fraction]:
    return [read(found) for found in NUMBER.findall(plain(text))]


def values_of(text: str, unit: str) -> list[Fraction]:
    """The values a text states in this unit: of `6:12` only the rise, of `1 in 10` only the ten."""
    text = plain(text)
    if unit == "pitch":
        return [read(found) for found in re.findall(rf"({NUMBER.pattern}):12", text)]
    found = numbers(text)
    return found[1:] if unit in ("one_in", "one_to") else found


def stored(number: str) -> Fraction:
    return read(number)


def same(template: str, shown: str) -> bool:
    """Is the shown sentence this template with something in each of its braces?"""
    pattern = "".join(".+" if part.startswith("{") else re.escape(part) for part in re.split(r"(\{\w+\})", template))
    return re.fullmatch(pattern, plain(shown)) is not None


def side(rule: Mapping[str, Any], reading: Fraction) -> tuple[str, ...]:
    """Where a reading lies, from the operator alone."""
    tolerance = stored(rule.get("tolerance") or "0")
    operator = rule["operator"]
    low = stored(rule["low"] if operator == "range" else rule["value"]) - tolerance
    high = stored(rule["high"] if operator == "range" else rule["value"]) + tolerance
    if operator != "max" and reading < low:
        return UNDER
    if operator != "min" and reading > high:
        return OVER
    return WITHIN


def band_of(rule: Mapping[str, Any], by: Fraction) -> Mapping[str, Any] | None:
    """The first band whose end is not passed."""
    first = rule["bands"][0].get("from")
    if first and (by < stored(first) or (by == stored(first) and not rule["bands"][0].get("from_closed", True))):
        return None
    for band in rule["bands"]:
        end = band.get("upto")
        if not end or by < stored(end) or (by == stored(end) and band.get("closed", True)):
            return band  # type: ignore[no-any-return]
    return None


def right_answers(
    rule: Mapping[str, Any], pattern: str, language: str, stem: str, options: Sequence[tuple[str, str]]
) -> list[str]:
    """Every answer that is right: letters, or one sequence `b,a,c`; a typed number is judged by `typed_value`.

    Drawings are judged by `drawn_right`, the log of a day by `outside`, as they need more than words and one rule.
    """
    judge = {
        "choose-value": _chosen_value,
        "judge-reading": _judged_reading,
        "choose-band": _chosen_band,
        "choose-practice": _chosen_practice,
        "put-in-order": _order,
        "choose-all": _all_within,
        "judge-area": _judged_area,
        "judge-slope": _judged_slope,
        "choose-slope": _same_slope,
    }[pattern]
    return judge(rule, language, stem, options)


def _chosen_value(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    wanted = [stored(rule[name]) for name in (("low", "high") if rule["operator"] == "range" else ("value",))]
    tolerance = stored(rule.get("tolerance") or "0")
    right = []
    for letter, text in options:
        found = values_of(text, rule["unit"])
        if len(found) == len(wanted) and all(abs(a - b) <= tolerance for a, b in zip(found, wanted, strict=True)):
            right.append(letter)
    return right


def _judged_reading(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    shown = plain(stem).rpartition("you find " if language == "en" else "usted encuentra ")[2]
    reading = values_of(shown.partition("?" if "?" not in shown else " Is it")[0].partition(" ¿")[0], rule["unit"])[0]
    words = side(rule, reading)
    return [letter for letter, text in options if any(word in text for word in words)]


def _chosen_band(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    given = plain(stem).rpartition(". ")[0].rpartition(": ")[2]
    band = band_of(rule, values_of(given, rule["by"])[0])
    if band is None:
        return []
    right = []
    for letter, text in options:
        by_words = band.get("text") and same(band["text"][language], text)
        by_value = not band.get("text") and values_of(text, rule["unit"]) == [stored(band["value"])]
        if by_words or by_value:
            right.append(letter)
    return right


def _chosen_practice(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    return [letter for letter, text in options if same(rule["right"][language], text)]


def _order(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    letters = {text: letter for letter, text in options}
    return [",".join(letters[act[language]] for act in rule["acts"] if act[language] in letters)]


def _all_within(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    within = [letter for letter, text in options if side(rule, values_of(text, rule["unit"])[0]) is WITHIN]
    return [",".join(within)]


def _judged_area(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    length, width = numbers(stem)
    enough = side(rule, length * width) is WITHIN
    yes = {"en": "Yes", "es": "Sí"}[language]
    return [letter for letter, text in options if numbers(text) == [length * width] and text.startswith(yes) is enough]


def _rise(text: str) -> float:
    """The slope that a text names, as rise in 12: `6:12`, `27°` or `50 %`."""
    shown = plain(text)
    if found := re.search(rf"({NUMBER.pattern}):12", shown):
        return float(read(found[1]))
    found = re.search(rf"({NUMBER.pattern})(°| %)", shown)
    assert found, text
    number = float(read(found[1]))
    return 12 * math.tan(math.radians(number)) if found[2] == "°" else number * 12 / 100


def _judged_slope(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    words = side(rule, Fraction(_rise(stem)))
    return [letter for letter, text in options if any(word in text for word in words)]


def _same_slope(rule: Any, language: str, stem: str, options: Sequence[tuple[str, str]]) -> list[str]:
    """Options that name the slope of the question, to half of their own last place."""
    return [letter for letter, text in options if _is_slope(_rise(stem), plain(text))]


def _is_slope(rise: float, text: str) -> bool:
    stated = float(numbers(text)[0])
    if ":12" in text:
        return abs(stated - rise) <= 0.25
    degrees = math.degrees(math.atan(rise / 12))
    return abs(stated - (degrees if "°" in text else rise * 100 / 12)) <= 0.5


def outside(book: Mapping[str, Any], language: str, options: Sequence[tuple[str, str]]) -> list[str]:
    """The entries of a log that lie outside the limits of the rule whose quantity they name."""
    found = []
    for letter, text in options:
        (rule,) = [each for each in book["rules"] if text.startswith(_capital(each["quantity"][language]) + ": ")]
        reading = values_of(text.removeprefix(_capital(rule["quantity"][language]) + ": "), rule["unit"])[0]
        if side(rule, reading) is not WITHIN:
            found.append(letter)
    return found


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def drawn_right(rule: Mapping[str, Any], pictures: Mapping[str, str]) -> list[str]:
    """The drawings whose own number is the rule's, or whose pad lies where the right practice puts it."""
    return [letter for letter, svg in pictures.items() if _drawn_right(rule, svg)]


def _drawn_right(rule: Mapping[str, Any], svg: str) -> bool:
    sketch = rule["drawing"]
    if sketch["kind"] == "pad_place":
        return _pad_at(svg) == sketch["places"]["right"]
    words = [plain(word) for word in re.findall(r"<text[^>]*>([^<]*)</text>", svg)]
    if sketch["kind"] in ("slope", "ladder"):
        run, limit = words
        return (run, read(limit)) == ({"slope": "12", "ladder": "1"}[sketch["kind"]], stored(rule["value"]))
    return numbers(words[0]) == [stored(rule["value"])]


def _pad_at(svg: str) -> str:
    """Left, middle or right of the tile: where the yellow pad is drawn."""
    found = re.search(r'<rect x="([\d.]+)"[^>]*width="([\d.]+)"[^>]*fill="#f2c94c"', svg)
    if not found:
        return "none"
    middle = float(found[1]) + float(found[2]) / 2
    return "pan" if middle < 80 else "crown" if middle < 150 else "lock"


def worked_out(rule: Mapping[str, Any], stem: str) -> tuple[Fraction, str]:
    """What a sum comes to, from the numbers in its words, and in which unit."""
    value, given = stored(rule["value"]), numbers(stem)
    match rule["calculation"]:
        case "checks":
            return Fraction(math.ceil(given[0] / value)), "tile"
        case "exposure":
            return given[0] - value, rule["unit"]
        case "per_square":
            return given[0] * value, "tile"
        case "per_tile":
            return given[0] * given[1] * value, rule["unit"]
        case _:
            return given[0] * value / 100, "h"


def typed_value(rule: Mapping[str, Any], language: str, stem: str) -> Fraction:
    """The number a typed answer must give, in the rule's unit."""
    if rule["operator"] != "range":
        return stored(rule["value"])
    lowest = ("lowest value", "valor más bajo")
    return stored(rule["low"] if any(word in stem for word in lowest) else rule["high"])
