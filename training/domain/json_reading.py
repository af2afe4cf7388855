"""Reads a JSON value into domain values and collects every fault with its place, instead of stopping at the first."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from string import Formatter

from training.domain.errors import BadInput
from training.domain.messages import Message
from training.domain.text import LANGUAGES, Text
from training.domain.unit_table import UNITS
from training.domain.units import Measure, is_possible, stored_number

_KEY = re.compile(r"[a-z0-9]+(?:[-_.:][a-z0-9]+)*", re.IGNORECASE)
_DIGIT = re.compile(r"[0-9\u00bc-\u00be\u2150-\u215e]+")
_NO_TEXT = Text("?", "?")


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a file: the place (`rules.product-temperature.why`) and what to do about it."""

    place: str
    message: Message


class FileFaults(BadInput):
    """A file that cannot be used; `faults` lists everything wrong with it, the message tells the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        first = self.faults[0]
        super().__init__("file.faults", place=first.place, fault=first.message, count=len(self.faults))


class Node:
    """One JSON object at one place of the file. Reading a bad field notes a fault and gives a harmless value."""

    def __init__(self, data: object, place: str, faults: list[Fault]) -> None:
        self.place = place
        self.faults = faults
        self.data: Mapping[str, object] = {}
        if isinstance(data, Mapping):
            self.data = data
        else:
            self.fault("file.not_an_object")

    def fault(self, key: str, at: str = "", /, **values: object) -> None:
        """Note a fault at this place, or at one field of it."""
        place = ".".join(part for part in (self.place, at) if part) or "."
        self.faults.append(Fault(place, Message(key, values)))

    def only(self, known: Iterable[str]) -> None:
        """Refuse fields that nobody reads: a mistyped name must not pass in silence."""
        names = sorted(known)
        for name in self.data.keys() - set(names):
            self.fault("file.unknown_field", str(name), field=name, known=names)

    def has(self, name: str) -> bool:
        """Is the field there and not empty?"""
        return self.data.get(name) not in (None, "", [], {})

    def string(self, name: str, default: str | None = None) -> str:
        """Plain text; a fault when it is missing and has no default."""
        given = self.data.get(name, default)
        if not isinstance(given, str) or (default is None and not given.strip()):
            self.fault("file.missing", name, field=name)
            return ""
        return given.strip()

    def key(self, name: str = "key") -> str:
        """A key: letters, digits and single dashes, no spaces."""
        given = self.string(name)
        if given and not _KEY.fullmatch(given):
            self.fault("file.bad_key", name, given=given)
        return given

    def one_of(self, name: str, known: Iterable[str], default: str | None = None) -> str:
        """One of the known words."""
        given, names = self.string(name, default), list(known)
        if given and given not in names:
            self.fault("file.unknown_choice", name, given=given, known=names)
            return names[0]
        return given or names[0]

    def flag(self, name: str, default: bool = False) -> bool:
        """True or false."""
        given = self.data.get(name, default)
        if not isinstance(given, bool):
            self.fault("file.not_yes_no", name, given=str(given))
        return bool(given)

    def whole(self, name: str, default: int | None = None, least: int = 0, most: int | None = None) -> int:
        """A whole number, at least `least` and at most `most`."""
        given = self.data.get(name, default)
        if isinstance(given, bool) or not isinstance(given, int) or given < least:
            self.fault("file.not_whole", name, given=str(given), least=least)
            return least
        if most is not None and given > most:
            self.fault("file.too_many", name, most=most)
            return most
        return given

    def number(self, name: str) -> Fraction | None:
        """A number kept as text, such as `3/4`; None when it is missing (no fault)."""
        if not self.has(name):
            return None
        given = self.data[name]
        try:
            if not isinstance(given, str):
                raise ValueError(given)
            return stored_number(given)
        except ValueError:
            self.fault("file.not_a_number", name, given=str(given))
            return None

    def measure(self, name: str, unit: str) -> Measure | None:
        """A number in a unit, inside what that unit can be; None when it is missing."""
        number = self.number(name)
        if number is None or unit not in UNITS:
            return None
        found = Measure(number, unit)
        if not is_possible(found):
            self.fault("file.impossible", name, given=str(self.data[name]), unit=unit)
            return None
        return found

    def unit(self, name: str, default: str | None = None) -> str:
        """A unit of the table."""
        given = self.string(name, default)
        if given and given not in UNITS:
            self.fault("file.unknown_unit", name, given=given, known=sorted(UNITS))
            return ""
        return given

    def text(self, name: str, parts: Iterable[str] = ()) -> Text:
        """A sentence in every language; numbers only as one of these {parts}, the same in each language."""
        given = self.data.get(name)
        if not isinstance(given, Mapping):
            self.fault("file.missing_text", name, field=name, languages=list(LANGUAGES))
            return _NO_TEXT
        said = {language: self._sentence(given, language, name) for language in LANGUAGES}
        for language in given.keys() - set(LANGUAGES):
            self.fault("file.unknown_language", f"{name}.{language}", language=language, languages=list(LANGUAGES))
        self._check_parts(name, said, set(parts))
        return Text(**said)

    def maybe_text(self, name: str, parts: Iterable[str] = ()) -> Text | None:
        """The same, or None when the field is missing."""
        return self.text(name, parts) if self.has(name) else None

    def _sentence(self, given: Mapping[str, object], language: str, name: str) -> str:
        sentence = given.get(language)
        if isinstance(sentence, str) and sentence.strip():
            return sentence.strip()
        self.fault("file.missing_language", f"{name}.{language}", language=language)
        return "?"

    def _check_parts(self, name: str, said: Mapping[str, str], known: set[str]) -> None:
        used = {language: self._parts_of(sentence, f"{name}.{language}", known) for language, sentence in said.items()}
        first = used[LANGUAGES[0]]
        for language in LANGUAGES[1:]:
            if used[language] != first:
                self.fault("file.numbers_differ", f"{name}.{language}", language=language)

    def _parts_of(self, sentence: str, at: str, known: set[str]) -> list[str]:
        try:
            pieces = list(Formatter().parse(sentence))
        except ValueError:
            self.fault("file.bad_braces", at)
            return []
        if any(how or turned for _, _, how, turned in pieces):
            # A width or a conversion would be obeyed by str.format: it breaks the page, or fills the memory.
            self.fault("file.bad_braces", at)
            return []
        typed = "".join(piece for piece, *_ in pieces)
        if digits := _DIGIT.search(typed):
            self.fault("file.number_in_sentence", at, number=digits[0])
        used = sorted(part for _, part, *_ in pieces if part is not None)
        for part in set(used) - known:
            self.fault("file.unknown_part", at, part=part, known=sorted(known))
        return used

    def nodes(self, name: str, known: Iterable[str] = (), label: str = "key") -> list["Node"]:
        """The objects of a list, each placed by its key where it has one; a key given twice is a fault."""
        given = self.data.get(name, [])
        if not isinstance(given, list):
            self.fault("file.not_a_list", name, field=name)
            return []
        found: list[Node] = []
        seen: set[object] = set()
        for number, item in enumerate(given, 1):
            key = item.get(label) if isinstance(item, Mapping) else None
            at = key if isinstance(key, str) and key else str(number)
            node = Node(item, ".".join(part for part in (self.place, name, at) if part), self.faults)
            if known:
                node.only(known)
            if isinstance(key, str) and key in seen:
                node.fault("file.key_twice", key=key)
            seen.add(at)
            found.append(node)
        return found

    def words(self, name: str) -> tuple[str, ...]:
        """A list of plain words; empty when missing."""
        given = self.data.get(name, [])
        if not isinstance(given, list) or not all(isinstance(word, str) for word in given):
            self.fault("file.not_a_list", name, field=name)
            return ()
        return tuple(given)

    def mapping(self, name: str) -> Mapping[str, object]:
        """An object with free keys; empty when missing."""
        given = self.data.get(name, {})
        if isinstance(given, Mapping):
            return given
        self.fault("file.not_an_object", name)
        return {}
