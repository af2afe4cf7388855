"""Names: which characters, how they fold and sort, when two may be one person."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.domain import names
from training.domain.errors import BadInput
from training.domain.names import Likeness, Name

PRINTABLE = [
    chr(code)
    for low, high in names.LETTER_RANGES
    for code in range(low, high + 1)
    if unicodedata.category(chr(code)).startswith("L") and unicodedata.normalize("NFC", chr(code)) == chr(code)
]


@pytest.mark.parametrize(
    "name",
    [
        "José",
        "Nguyễn Thị Hồng",
        "Łukasz Żółć",
        "O’Brien",
        "D'Angelo",
        "Núñez-Ibáñez",
        "Γιώργος",
        "Щербаков",
        "Mª José",
        "Gal·la",
    ],
)
def test_names_of_many_places_are_kept_as_typed(name: str) -> None:
    assert names.clean_name(name) == name


# The Bidi_Control property of UAX #9, table "Explicit directional formatting": twelve characters. From memory.
BIDI_CONTROLS = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


@pytest.mark.parametrize("character", BIDI_CONTROLS)
def test_a_character_that_turns_the_line_is_refused_and_shown_by_its_code(character: str) -> None:
    with pytest.raises(BadInput) as refused:
        names.clean_name(f"Ana{character}Ruiz")
    assert refused.value.message.key == "name.bidi"
    assert refused.value.message.values["character"] == f"U+{ord(character):04X}"


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Ana 🙂", "name.emoji"),
        ("👷🏽\u200d♂️ Bo", "name.emoji"),
        ("Ana\x07", "name.control"),
        ("Ana\x00", "name.control"),
        ("王伟", "name.script"),
        ("محمد", "name.script"),
        ("R2 Ruiz", "name.digits"),
        ("Ana <b>", "name.symbol"),
        ("=Ana", "name.symbol"),
        ("Z\u0303\u0303\u0303algo", "name.symbol"),
        ("", "name.blank"),
        (" -., ", "name.blank"),
        ("a" * 61, "name.too_long"),
    ],
)
def test_what_cannot_be_printed_is_refused_with_its_reason(name: str, key: str) -> None:
    with pytest.raises(BadInput) as refused:
        names.clean_name(name)
    assert refused.value.message.key == key


def test_cleaning_composes_accents_and_tidies_spaces_and_dashes() -> None:
    assert names.clean_name("  Jose\u0301   Pe\u0301rez–Gil\u00a0,") == "José Pérez-Gil"


@given(st.text(max_size=80))
def test_cleaning_refuses_or_gives_a_stable_name(text: str) -> None:
    try:
        cleaned = names.clean_name(text)
    except BadInput:
        return
    assert names.clean_name(cleaned) == cleaned
    assert len(cleaned) <= names.LONGEST_NAME


@given(st.sampled_from(PRINTABLE))
def test_folding_a_letter_drops_the_accents_that_unicode_says_it_has(letter: str) -> None:
    """Reference: the canonical decompositions of the Unicode Character Database (UAX #44)."""
    base = unicodedata.normalize("NFD", letter)[0]
    if base.isascii():
        assert names.fold(letter) == base.lower()


@given(st.text(alphabet=PRINTABLE, min_size=1, max_size=20))
def test_every_accepted_name_folds_to_plain_letters(text: str) -> None:
    assert names.fold(text).replace(" ", "").isascii()


def test_sorting_goes_by_first_surname_then_second_then_given_names() -> None:
    people = [("Ana", "Pérez Álvarez"), ("Zoe", "Perez"), ("Ana", "Pérez"), ("Bo", "Peña"), ("Íñigo", "Ávila")]
    ordered = sorted(people, key=lambda person: names.sort_key(*person))
    assert ordered == [("Íñigo", "Ávila"), ("Bo", "Peña"), ("Ana", "Pérez"), ("Zoe", "Perez"), ("Ana", "Pérez Álvarez")]


@pytest.mark.parametrize(
    ("given_names", "family", "letters"),
    [("José Luis", "Pérez Gil", "JP"), ("ñico", "de la Cruz", "ÑC"), ("Ana", "", "A"), ("Li", "Va", "LV")],
)
def test_initials_are_two_capitals_with_their_accents(given_names: str, family: str, letters: str) -> None:
    assert names.initials(given_names, family) == letters


@pytest.mark.parametrize(
    ("one", "other", "why"),
    [
        (Name("José", "Pérez Álvarez"), Name("JOSE", "Perez Alvarez"), Likeness.SAME),
        (Name("José", "Pérez Álvarez"), Name("José", "Álvarez Pérez"), Likeness.SWAPPED),
        (Name("Pérez", "José"), Name("José", "Pérez"), Likeness.SWAPPED),
        (Name("José A.", "Pérez"), Name("José", "Pérez Álvarez"), Likeness.PART),
        (Name("María", "Cruz"), Name("María", "de la Cruz"), Likeness.SAME),
        (Name("Joe", "Perez"), Name("José", "Pérez Álvarez"), Likeness.CLOSE),
        (Name("Ana", "Gonzales"), Name("Ana", "González"), Likeness.CLOSE),
        (Name("José", "Pérez"), Name("José", "García"), None),
        (Name("José", "Pérez Álvarez"), Name("José", "Pérez Gómez"), None),
        (Name("Ana", ""), Name("Ana", "Ruiz"), None),
    ],
)
def test_two_names_may_be_one_person(one: Name, other: Name, why: Likeness | None) -> None:
    assert names.likeness(one, other) == why
    assert names.likeness(other, one) == why


def _distance(one: str, other: str) -> int:
    """Optimal string alignment distance, written from its definition (Damerau 1964): the reference."""
    cost = {(i, -1): i + 1 for i in range(-1, len(one))} | {(-1, j): j + 1 for j in range(-1, len(other))}
    for i, a in enumerate(one):
        for j, b in enumerate(other):
            cost[i, j] = min(cost[i - 1, j] + 1, cost[i, j - 1] + 1, cost[i - 1, j - 1] + (a != b))
            if i and j and a == other[j - 1] and one[i - 1] == b:
                cost[i, j] = min(cost[i, j], cost[i - 2, j - 2] + 1)
    return cost[len(one) - 1, len(other) - 1]


@given(st.text("abc", min_size=3, max_size=6), st.text("abc", min_size=3, max_size=6))
def test_one_slip_is_an_edit_distance_of_at_most_one(one: str, other: str) -> None:
    assert names.one_slip(one, other) == (_distance(one, other) <= 1)


@pytest.mark.parametrize(
    ("text", "split", "certain"),
    [
        ("José Pérez", Name("José", "Pérez"), True),
        ("Pérez Álvarez, José Luis", Name("José Luis", "Pérez Álvarez"), True),
        ("José Luis Pérez Álvarez", Name("José Luis", "Pérez Álvarez"), False),
        ("John A. Smith", Name("John A.", "Smith"), False),
        ("Juan de la Cruz Hernández", Name("Juan", "de la Cruz Hernández"), False),
        ("Ana", Name("Ana", ""), False),
    ],
)
def test_a_whole_name_is_split_and_says_when_it_is_a_guess(text: str, split: Name, certain: bool) -> None:
    assert names.split_full(text) == (split, certain)


def test_a_whole_name_may_start_with_the_family_names() -> None:
    assert names.split_full("PÉREZ ÁLVAREZ JOSÉ LUIS", family_first=True)[0] == Name("JOSÉ LUIS", "PÉREZ ÁLVAREZ")
