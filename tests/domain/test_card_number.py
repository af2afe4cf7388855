"""Card numbers against ISO/IEC 7064 and the numbering systems that use its MOD 97-10."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certificates.domain import number as card_number
from certificates.domain.number import ALPHABET, BODY, Fault, check_characters, new_number, read, shown

bodies = st.text(ALPHABET, min_size=BODY, max_size=BODY)


def by_hand(body: str) -> str:
    """ISO/IEC 7064:2003 MOD 97-10 written out: letters become 10..35; 98 less the remainder of 100 times the number."""
    digits = "".join(str(ord(c) - 55) if c.isalpha() else c for c in body)
    return f"{98 - int(digits) * 100 % 97:02d}"


@pytest.mark.parametrize(
    ("body", "check"),
    [
        # The worked numbers in the documentation of python-stdnum 2.2, module stdnum.iso7064.mod_97_10.
        ("99991234567890121414", "90"),
        ("4354111611551114", "31"),
        ("22181321402534321446701611", "35"),
        # ISO 11649:2009, the example creditor reference RF18 5390 0754 7034 (moved to the end, letters as numbers).
        ("539007547034RF", "18"),
        # ISO 13616, the example IBAN GB82 WEST 1234 5698 7654 32.
        ("WEST12345698765432GB", "82"),
    ],
)
def test_check_characters_are_those_of_published_examples(body: str, check: str) -> None:
    assert check_characters(body) == check


@given(bodies)
def test_check_characters_agree_with_the_formula_written_out(body: str) -> None:
    assert check_characters(body) == by_hand(body)


@given(bodies)
def test_a_made_number_reads_back(body: str) -> None:
    number = body + check_characters(body)
    assert read(number).number == number
    assert read(shown(number)).number == number


def test_the_alphabet_is_32_characters_without_the_four_that_are_misread() -> None:
    assert len(set(ALPHABET)) == 32
    assert not set("ILOU") & set(ALPHABET)


def test_a_new_number_uses_the_random_bytes_it_is_given() -> None:
    assert new_number(lambda n: bytes(range(n))) == "01234567" + by_hand("01234567")
    assert new_number() != new_number()


@pytest.mark.parametrize(
    "typed",
    [
        "01234567{c}",
        "0123-4567-{c}",
        " 0123 4567 {c} ",
        "oi23 4567 {c}",
        "OL23–4567–{c}",
        "\u00a00123\u20114567\u200b{c}",
        "０１２３４５６７{c}",
    ],
)
def test_spaces_dashes_case_and_lookalikes_do_not_matter(typed: str) -> None:
    check = by_hand("01234567")
    assert read(typed.format(c=check)).number == "01234567" + check


@pytest.mark.parametrize(
    ("typed", "fault"),
    [
        ("", Fault.EMPTY),
        (" - ", Fault.EMPTY),
        ("0123", Fault.LENGTH),
        ("0123456789012345", Fault.LENGTH),
        ("0123U56799", Fault.SYMBOL),
        ("0123456É99", Fault.SYMBOL),
        ("0123' OR 1=1", Fault.SYMBOL),
        ("0123456700", Fault.CHECK),
    ],
)
def test_a_mistyped_number_is_told_from_an_unknown_one_without_a_look_at_the_register(typed: str, fault: Fault) -> None:
    assert read(typed).number is None
    assert read(typed).fault is fault


@given(bodies)
def test_every_number_has_one_way_to_be_written(body: str) -> None:
    check = int(check_characters(body))
    for other in (check - 97, check + 97):
        if 0 <= other <= 99:
            assert read(f"{body}{other:02d}").fault is Fault.CHECK


def _kind(character: str) -> bool:
    return character.isdigit()


@given(bodies, st.integers(0, BODY - 1), st.sampled_from(ALPHABET))
def test_one_wrong_character_of_the_same_kind_is_always_noticed(body: str, place: int, wrong: str) -> None:
    """ISO/IEC 7064: all single substitutions of digits (and of two-digit letters, whose difference stays below 97)."""
    number = body + check_characters(body)
    if wrong != body[place] and _kind(wrong) == _kind(body[place]):
        assert read(number[:place] + wrong + number[place + 1 :]).fault is Fault.CHECK


def _mutants(number: str) -> list[str]:
    swaps = [number[:i] + number[i + 1] + number[i] + number[i + 2 :] for i in range(9) if number[i] != number[i + 1]]
    wrong = [number[:i] + c + number[i + 1 :] for i in range(10) for c in ALPHABET if c != number[i]]
    return [*swaps, *wrong]


def test_at_least_98_of_100_slips_of_any_kind_are_noticed() -> None:
    """Two check digits out of 97 remainders: about one slip in 97 may hide at most (ISO/IEC 7064, from memory)."""
    source = random.Random(7064)
    numbers = [new_number(source.randbytes) for _ in range(200)]
    mutants = [m for n in numbers for m in _mutants(n)]
    assert sum(read(m).number is None for m in mutants) / len(mutants) >= 0.98


def test_numbers_are_shown_in_groups_of_four_four_and_two() -> None:
    assert shown("K7QM3XHD42") == "K7QM-3XHD-42"
    assert card_number.GROUPS == (4, 4, 2)
