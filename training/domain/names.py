"""Names of people: which are accepted, how they sort, and when two of them may be one person.

A person has given names and family names, each one or more words; two surnames are as usual as one.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from anyascii import anyascii

from training.domain.errors import BadInput
from training.domain.given_names import GIVEN_NAMES

LONGEST_NAME = 60
"""Characters in the given names, and again in the family names."""

# What the bundled typefaces can print; a name outside it could not be put on a card.
LETTER_RANGES = (
    (0x0041, 0x024F),  # Latin, with Polish, Romanian, Turkish ...
    (0x0370, 0x03E1),  # Greek, without the Coptic letters that follow
    (0x03F0, 0x03FF),
    (0x0400, 0x052F),  # Cyrillic
    (0x1E00, 0x1EFF),  # Latin with Vietnamese
    (0x1F00, 0x1FFF),  # Greek with all accents
)
PUNCTUATION = frozenset(" '’-.,·ªº")
ACCENTS = frozenset("\u0300\u0301\u0303\u0304\u0308\u0309\u0323")
"""Combining accents that the typefaces have, for letters that have no composed form."""
PARTICLES = frozenset(
    "de del la las los da das do dos di du van von der den ter y e el al bin".split()  # noqa: SIM905
)

_BIDI = frozenset(chr(code) for code in (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)))
# Left behind by copying from web pages; they have no meaning inside a name.
_INVISIBLE = dict.fromkeys((0x00AD, 0x200B, 0x200C, 0x2060, 0xFEFF))
_TIDY = str.maketrans({"`": "'", "´": "'", "‘": "’", "ʼ": "’", "ʻ": "’", "‐": "-", "‑": "-", "–": "-", "—": "-"})
_ACCENTS_ON_ONE_LETTER = 2


class Likeness(StrEnum):
    """Why two names may be one person, nearest first."""

    SAME = "same_name"
    SWAPPED = "swapped_names"
    PART = "part_of_name"
    CLOSE = "close_spelling"


@dataclass(frozen=True)
class Name:
    """Given and family names as typed, already cleaned."""

    given: str
    family: str

    @property
    def full(self) -> str:
        """The name in the order it is spoken."""
        return f"{self.given} {self.family}".strip()


def clean_name(text: str, *, longest: int = LONGEST_NAME) -> str:
    """The name in one normal form (NFC, single spaces, plain hyphens); raises `BadInput` with a `name.*` key.

    Keys: blank, too_long, and with `character`: bidi, control, emoji, digits, script, symbol.
    """
    composed = unicodedata.normalize("NFC", text.translate(_INVISIBLE).translate(_TIDY))
    name = re.sub(r"\s+", " ", composed).strip(" ,")
    if not any(character.isalpha() for character in name):
        _refuse_characters(name)
        raise BadInput("name.blank")
    if len(name) > longest:
        raise BadInput("name.too_long", longest=longest, length=len(name))
    _refuse_characters(name)
    return name


def _refuse_characters(name: str) -> None:
    accents = 0
    for character in name:
        accents = accents + 1 if 0x0300 <= ord(character) <= 0x036F else 0
        key = _refusal(character, accents)
        if key:
            raise BadInput(f"name.{key}", character=_visible(character))


def _refusal(character: str, accents: int) -> str | None:
    """The end of the key that refuses this character, or None when it may stay."""
    if accents:
        return None if accents <= _ACCENTS_ON_ONE_LETTER and character in ACCENTS else "symbol"
    if character in PUNCTUATION:
        return None
    if character in _BIDI:
        return "bidi"
    kind = unicodedata.category(character)
    if kind.startswith("L"):
        return None if any(low <= ord(character) <= high for low, high in LETTER_RANGES) else "script"
    if kind == "Cc":
        return "control"
    if kind == "Nd":
        return "digits"
    if kind in ("So", "Cf") or ord(character) > 0x1F000 or 0xFE00 <= ord(character) <= 0xFE0F:
        return "emoji"
    return "script" if kind.startswith("M") else "symbol"


def _visible(character: str) -> str:
    """The character itself, or its code where printing it would show nothing or turn the line."""
    return character if character.isprintable() and character not in _BIDI else f"U+{ord(character):04X}"


def fold(text: str) -> str:
    """Lower-case ASCII words split by single spaces: accents, case, hyphens, apostrophes no longer count."""
    latin = anyascii(unicodedata.normalize("NFKC", text)).lower()
    return " ".join(re.findall(r"[a-z0-9]+", re.sub(r"['`]", "", latin)))


@lru_cache(maxsize=50_000)
def tokens(text: str) -> tuple[str, ...]:
    """The folded words that identify somebody; particles (`de la`) count only when there is nothing else."""
    words = fold(text).split()
    return tuple(word for word in words if word not in PARTICLES) or tuple(words)


def initials(given: str, family: str) -> str:
    """Two capitals for a card without a photo, accents kept; a single name gives one."""
    letters = (_first_letter(part) for part in (given, _without_particles(family)))
    return "".join(letter.upper()[:1] for letter in letters if letter)


def _first_letter(text: str) -> str:
    return next((character for character in text if character.isalpha()), "")


def _without_particles(family: str) -> str:
    kept = [word for word in family.split() if fold(word) not in PARTICLES]
    return " ".join(kept) or family


def sort_key(given: str, family: str) -> str:
    """Text that sorts by first surname, second surname, given names, whatever the accents.

    Two spaces part the names, so that `Perez, Ana` comes before `Perez Alvarez, Ana`.
    """
    return f"{fold(family)}  {fold(given)}"


def likeness(one: Name, other: Name) -> Likeness | None:
    """Why the two names may be the same person, or None."""
    first, second = (tokens(one.given), tokens(one.family)), (tokens(other.given), tokens(other.family))
    if first == second:
        return Likeness.SAME
    all_first, all_second = first[0] + first[1], second[0] + second[1]
    if sorted(all_first) == sorted(all_second):
        return Likeness.SWAPPED
    shorter, longer = sorted((all_first, all_second), key=len)
    return _partial_likeness(shorter, longer)


def _partial_likeness(shorter: tuple[str, ...], longer: tuple[str, ...]) -> Likeness | None:
    left = list(longer)
    exact = _take(shorter, left, lambda word, candidate: word == candidate)
    rest = _minus(shorter, exact)
    initial = _take(rest, left, _is_initial)
    rest = _minus(rest, initial)
    # One word in common is too little: it would pair every two men called José.
    if not exact or len(shorter) < 2:
        return None
    if not rest:
        return Likeness.PART
    return Likeness.CLOSE if len(_take(rest, left, one_slip)) == len(rest) else None


def _minus(words: Iterable[str], gone: Iterable[str]) -> list[str]:
    rest = list(words)
    for word in gone:
        rest.remove(word)
    return rest


def _take(words: Iterable[str], left: list[str], matches: Callable[[str, str], bool]) -> list[str]:
    """The words that find a partner in `left`; each partner is used up."""
    found = []
    for word in words:
        partner = next((candidate for candidate in left if matches(word, candidate)), None)
        if partner is not None:
            left.remove(partner)
            found.append(word)
    return found


def _is_initial(word: str, candidate: str) -> bool:
    return 1 in (len(word), len(candidate)) and word[0] == candidate[0]


def one_slip(word: str, candidate: str) -> bool:
    """True when one letter added, left out, changed or swapped turns one word into the other.

    Words of fewer than three letters never count: too many of them differ by one letter.
    """
    if min(len(word), len(candidate)) < 3 or abs(len(word) - len(candidate)) > 1:
        return False
    start = next((at for at, (a, b) in enumerate(zip(word, candidate, strict=False)) if a != b), None)
    if start is None:
        return True
    a, b = word[start:], candidate[start:]
    return a[1:] == b[1:] or a == b[1:] or a[1:] == b or (a[:2] == b[1::-1] and a[2:] == b[2:])


def split_full(text: str, *, family_first: bool = False) -> tuple[Name, bool]:
    """Given and family names out of one cell, and whether the split is certain.

    A comma settles it (`Pérez Álvarez, José`). Else two words are one and one, and longer names are split by
    known given names; what is left are the surnames. `family_first` reads the words the other way.
    """
    if text.count(",") == 1:
        family, given = (part.strip() for part in text.split(","))
        return Name(given, family), bool(given and family)
    words = text.replace(",", " ").split()
    groups = _with_particles(words)
    if len(groups) < 2:
        return Name(text.strip(), ""), False
    if family_first:
        count = _given_count(groups[::-1])
        return Name(" ".join(groups[-count:]), " ".join(groups[:-count])), len(words) == 2
    count = _given_count(groups)
    return Name(" ".join(groups[:count]), " ".join(groups[count:])), len(words) == 2


def _with_particles(words: list[str]) -> list[str]:
    """Particles joined to the word they lead: `de la Cruz` is one surname."""
    groups: list[str] = []
    held: list[str] = []
    for word in words:
        held.append(word)
        if fold(word) not in PARTICLES or (not groups and len(held) == 1):
            groups.append(" ".join(held))
            held = []
    if held:
        groups.append(" ".join(held))
    return groups


def _given_count(groups: list[str]) -> int:
    """How many words are given names: the first, then known ones and initials; one word is always left."""
    count = 1
    while count < len(groups) - 1 and _looks_given(groups[count]) and count < 3:
        count += 1
    return count


def _looks_given(word: str) -> bool:
    last = fold(word).split()[-1:]
    return bool(last) and (len(last[0]) == 1 or last[0] in GIVEN_NAMES)


def given_share(texts: Iterable[str]) -> float:
    """Which part of the cells (0 to 1) starts with a common given name: tells given from family columns."""
    firsts = [words[0] for text in texts if (words := fold(text).split())]
    return sum(word in GIVEN_NAMES for word in firsts) / len(firsts) if firsts else 0.0
