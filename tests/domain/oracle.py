"""An independent judge of questions: reads only a book's JSON and the words people see; shares no code with the engine.

It answers with the letters (or the sequence, or the number) that the book's data make right.
"""

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
    """Every answer that is right: letters, or one sequence `b,a,c`; a typed number is judged by `typed_value`."""
    judge = {
        "choose-value": _chosen_value,
        "judge-reading": _judged_reading,
        "choose-band": _chosen_band,
        "choose-practice": _chosen_practice,
        "put-in-order": _order,
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


def typed_value(rule: Mapping[str, Any], language: str, stem: str) -> Fraction:
    """The number a typed answer must give, in the rule's unit."""
    if rule["operator"] != "range":
        return stored(rule["value"])
    lowest = ("lowest value", "valor más bajo")
    return stored(rule["low"] if any(word in stem for word in lowest) else rule["high"])
