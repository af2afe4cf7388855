"""Telephone numbers in the form of ITU-T E.164."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.domain import phones
from training.domain.errors import BadInput

# The number of RFC 3966, section 6 (tel:+1-201-555-0123), in the ways crews write numbers.
RFC_3966 = "+12015550123"


@pytest.mark.parametrize(
    "typed",
    [
        "+1-201-555-0123",
        "(201) 555-0123",
        "201.555.0123",
        "2015550123",
        "1 201 555 0123",
        "Cel: 201 555 0123",
        "201-555-0123 (home)",
        "\u202a+1 201 555 0123\u202c",
        "201-555-0123 ext 4",
    ],
)
def test_the_ways_to_write_a_number_come_to_one(typed: str) -> None:
    assert phones.parse_phone(typed) == RFC_3966


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("555-0123", "phone.no_area_code"),
        ("201 555 012", "phone.too_short"),
        ("201 555 01234567", "phone.too_long"),
        ("201-555-0123 / 201-555-0124", "phone.two"),
        ("201-555-0123 o 201-555-0124", "phone.two"),
        ("ask Juan", "phone.unreadable"),
        ("201555O123", "phone.unreadable"),
    ],
)
def test_a_number_that_cannot_be_dialled_says_why(typed: str, key: str) -> None:
    with pytest.raises(BadInput) as refused:
        phones.parse_phone(typed)
    assert refused.value.message.key == key


def test_the_company_says_which_country_a_bare_number_is_of() -> None:
    assert phones.parse_phone("55 1234 5678", "MX") == "+525512345678"
    assert phones.parse_phone("+52 55 1234 5678", "US") == "+525512345678"


def test_a_forgotten_plus_sign_is_seen_when_the_number_is_too_long_for_home() -> None:
    assert phones.parse_phone("52 55 1234 5678", "US") == "+525512345678"


def test_a_number_reads_as_it_is_dialled_at_home_and_abroad() -> None:
    assert phones.show_phone(RFC_3966, "US") == "(201) 555-0123"
    assert phones.show_phone("+525512345678", "US") == "+52 55 1234 5678"
    assert phones.show_phone("not a number") == "not a number"


@given(st.text(max_size=30))
def test_whatever_is_typed_gives_a_number_or_a_refusal(typed: str) -> None:
    """E.164, 6.2.1: a plus sign and at most fifteen digits."""
    try:
        assert re.fullmatch(r"\+\d{4,15}", phones.parse_phone(typed))
    except BadInput as refused:
        assert refused.message.key.startswith("phone.")


def test_a_date_does_not_look_like_a_number() -> None:
    assert phones.looks_like_phone("(201) 555-0123")
    assert not phones.looks_like_phone("31/02/2020")
    assert not phones.looks_like_phone("2020-02-31")
