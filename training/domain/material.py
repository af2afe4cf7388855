"""Reading: the least time a section takes, and how far a person has come in a text."""

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil

SECONDS_PER_100_WORDS = 8
"""Where no qualification names the document: 750 words a minute, faster than anyone reads with understanding."""

WORDS_A_PAGE = 200
"""What a page of an uploaded PDF counts for; its text may be a picture, so it is not counted."""

_TARGET = re.compile(r"\]\([^)]*\)|<https?://[^>]*>")
_WORD = re.compile(r"\w+(?:[-'’./:]\w+)*")
_NUMBER = re.compile(r"\d+(?:[.,:/]\d+)*")

Opening = tuple[int, str]
"""A section and the language it was opened in."""


def word_count(text: str) -> int:
    """Words as a reader meets them: marks and the targets of links do not count."""
    return len(_WORD.findall(_TARGET.sub("]", text)))


def least_seconds(words: int, seconds_per_100_words: int) -> int:
    """The shortest time, in whole seconds, in which so many words can have been read."""
    return ceil(Fraction(words * seconds_per_100_words, 100))


def numbers_that_differ(one: str, other: str) -> list[str]:
    """Numbers that stand in one text and not as often in the other, in order of their digits."""
    first, second = Counter(_NUMBER.findall(one)), Counter(_NUMBER.findall(other))
    return sorted((first - second) + (second - first))


@dataclass(frozen=True, slots=True)
class Part:
    """One section of a revision: its id and how many words it has in each language."""

    id: int
    words: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Acknowledged:
    """Which section was read and understood, in which language, and when."""

    section: int
    language: str
    at: datetime


@dataclass(frozen=True)
class Progress:
    """How far one person has come in one revision, in the present round of reading.

    Round 1 is the first time; who reads the same revision again, for a renewal or for new tries at the quiz,
    does so in the next round.
    """

    parts: tuple[Part, ...]
    round: int = 1
    opened: Mapping[Opening, datetime] = field(default_factory=dict)
    acknowledged: Mapping[int, Acknowledged] = field(default_factory=dict)
    seconds_per_100_words: int = SECONDS_PER_100_WORDS

    @property
    def done(self) -> int:
        """How many sections are acknowledged."""
        return len(self.acknowledged)

    @property
    def left(self) -> int:
        """How many sections are not."""
        return len(self.parts) - self.done

    @property
    def complete(self) -> bool:
        """Whether every section is acknowledged; a revision without sections never is."""
        return bool(self.parts) and not self.left

    @property
    def next(self) -> int | None:
        """The first section that is not acknowledged: where to go on. None when all are."""
        return next((part.id for part in self.parts if part.id not in self.acknowledged), None)

    def is_last(self, section: int) -> bool:
        """Whether acknowledging this section completes the reading."""
        return all(part.id == section or part.id in self.acknowledged for part in self.parts)

    def seconds(self, section: int, language: str) -> int:
        """The least time for a section in a language."""
        words = next(part.words[language] for part in self.parts if part.id == section)
        return least_seconds(words, self.seconds_per_100_words)

    def ready_at(self, section: int, language: str) -> datetime | None:
        """The first moment at which a section may be acknowledged; None while it was not opened in that language.

        Opening all sections at once gains nothing: the times of those acknowledged before add up from the
        first opening of the round.
        """
        opened = self.opened.get((section, language))
        if opened is None:
            return None
        own = self.seconds(section, language)
        before = sum(self.seconds(one.section, one.language) for one in self.acknowledged.values())
        return max(opened + timedelta(seconds=own), min(self.opened.values()) + timedelta(seconds=own + before))
