"""A sentence in every language Headlap speaks. Languages are data: a book that lacks one is refused."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

LANGUAGES = ("en", "es")
BLANK = "___"
_HIDDEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True)
class Text(Mapping[str, str]):
    """One sentence or name per language, read as `text["es"]`; an unknown language reads as English."""

    en: str
    es: str

    def __getitem__(self, language: str) -> str:
        return self.es if language.partition("-")[0].lower() == "es" else self.en

    def __iter__(self) -> Iterator[str]:
        return iter(LANGUAGES)

    def __len__(self) -> int:
        return len(LANGUAGES)

    def filled(self, parts: Callable[[str], Mapping[str, str]]) -> "Text":
        """The same sentence with its {parts} put in; `parts` is asked once for each language."""
        return Text(*(self[language].format_map(parts(language)) for language in LANGUAGES))


class Blanks(dict[str, str]):
    """The parts of a sentence; one that is not known yet reads as a blank."""

    def __missing__(self, name: str) -> str:
        return BLANK


def both(make: Callable[[str], str]) -> Text:
    """A text made by calling `make` with each language."""
    return Text(*(make(language) for language in LANGUAGES))


def capital(sentence: str) -> str:
    """The sentence with its first letter large; the rest untouched (units keep their case)."""
    return sentence[:1].upper() + sentence[1:]


def storable(text: str) -> str:
    """What was typed, as any database keeps it: hidden control signs become the sign for an unreadable letter."""
    return _HIDDEN.sub("\ufffd", text)
