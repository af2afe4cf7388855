"""Every name that is accepted can be printed: the bundled typefaces have its letters."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from training.domain import names

FONTS = Path(__file__).parents[2] / "training" / "static" / "training" / "fonts"


@pytest.mark.parametrize("font", ["NotoSans-Regular.ttf", "NotoSans-Bold.ttf"])
def test_the_fallback_typeface_has_every_character_a_name_may_have(font: str) -> None:
    with TTFont(FONTS / font) as face:
        covered = set(face.getBestCmap())
    letters = {
        code
        for low, high in names.LETTER_RANGES
        for code in range(low, high + 1)
        if unicodedata.category(chr(code)).startswith("L")
    }
    wanted = letters | {ord(character) for character in names.PUNCTUATION | names.ACCENTS}
    assert sorted(hex(code) for code in wanted - covered) == []
