"""How wide a text is: advances read from the bundled fonts, and the largest size at which a text fits its box."""

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from anyascii import anyascii
from fontTools.ttLib import TTFont

import training

FONTS = Path(training.__file__).parent / "static/training/fonts"

# Kerning and rounding in a renderer may add a little to the plain sum of advances; never find out at the edge.
SLACK = 1.015

# A word is broken over two lines only where that makes the text this much larger.
WORTH_BREAKING = 1.3


@dataclass(frozen=True)
class Face:
    """One font file's widths; all lengths are parts of the font size."""

    family: str
    bold: bool
    advances: dict[int, float]
    ascent: float
    descent: float

    def covers(self, text: str) -> bool:
        return all(ord(character) in self.advances for character in text)

    def width(self, text: str, size: float) -> float:
        """Width of one line in the unit of `size`."""
        return size * SLACK * sum(self.advances.get(ord(character), 1.0) for character in text)


@dataclass(frozen=True)
class Fitted:
    """A text broken into lines at the size at which they fit."""

    lines: tuple[str, ...]
    size: float
    face: Face


@lru_cache
def face(family: str, bold: bool) -> Face:
    """`atkinson` is the type of every page; `noto` is used for a whole text that the first one cannot write."""
    stem = {"atkinson": "AtkinsonHyperlegible", "noto": "NotoSans"}[family]
    with TTFont(FONTS / f"{stem}-{'Bold' if bold else 'Regular'}.ttf") as font:
        em, rise = font["head"].unitsPerEm, font["hhea"]
        widths = font["hmtx"].metrics
        advances = {code: widths[glyph][0] / em for code, glyph in font.getBestCmap().items()}
        return Face(family, bold, advances, rise.ascent / em, -rise.descent / em)


def written(text: str, bold: bool) -> tuple[str, Face]:
    """The text as it can be printed and the face that prints it: never a box in place of a letter.

    Letters outside both bundled fonts are given in Latin letters (anyascii), one by one.
    """
    clean = " ".join(unicodedata.normalize("NFC", text).split())
    first, second = face("atkinson", bold), face("noto", bold)
    if first.covers(clean):
        return clean, first
    if second.covers(clean):
        return clean, second
    return "".join(c if second.covers(c) else anyascii(c).strip() for c in clean), second


def fit(
    text: str, width: float, *, bold: bool = False, largest: Sequence[float], smallest: float, keep: float = 0.0
) -> Fitted:
    """The text in as few lines as keep it readable, at the largest size that fits `width`; nothing is ever cut off.

    `largest` gives the greatest size for one line, for two and so on. A line count is taken as soon as its size
    reaches `keep` (or `smallest`). Where breaking between words is not enough, a word is broken; the last resort
    is a size below `smallest`.
    """
    said, used = written(text, bold)
    best = Fitted((said,), 0.0, used)
    for count, limit in enumerate(largest, start=1):
        lines = balanced(said, count, used)
        widest = max(used.width(line, 1.0) for line in lines) or 1.0
        found = Fitted(lines, min(limit, width / widest), used)
        if found.size > best.size * 1.05:
            best = found
        if best.size >= max(keep, smallest):
            return best
    if best.size < smallest:
        lines = _chopped(said, len(largest))
        widest = max(used.width(line, 1.0) for line in lines)
        broken = Fitted(lines, min(largest[-1], width / widest), used)
        return broken if broken.size > best.size * WORTH_BREAKING else best
    return best


def balanced(text: str, count: int, used: Face) -> tuple[str, ...]:
    """`count` lines of nearly equal width, broken between words; inside a word only where nothing else helps."""
    if count == 1:
        return (text,)
    candidates = list(_splits(text, count))
    if not candidates:
        return _chopped(text, count)
    return min(candidates, key=lambda lines: max(used.width(line, 1.0) for line in lines))


def wrapped(items: Sequence[str], width: float, size: float, used: Face, joint: str = " ") -> list[str]:
    """Items set one after another, as many to a line as fit; one too wide for a line gets a line of its own."""
    lines: list[str] = []
    for item in items:
        longer = f"{lines[-1]}{joint}{item}" if lines else item
        if lines and used.width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(item)
    return lines


def _splits(text: str, count: int) -> Iterator[tuple[str, ...]]:
    words = text.split(" ")
    if len(words) < count:
        return
    if count == 1:
        yield (text,)
        return
    for cut in range(1, len(words) - count + 2):
        head = " ".join(words[:cut])
        for rest in _splits(" ".join(words[cut:]), count - 1):
            yield (head, *rest)


def _chopped(text: str, count: int) -> tuple[str, ...]:
    size = -(-len(text) // count)
    return tuple(text[start : start + size].strip() for start in range(0, len(text), size)) or (text,)
