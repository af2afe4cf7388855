"""Telephone numbers as people type them, kept in the international form of ITU-T E.164 (`+13055550142`)."""

import re

import phonenumbers

from training.domain.errors import BadInput

_UNSEEN = re.compile(r"[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]")  # copied from phones
_TWO_NUMBERS = re.compile(r"\d{3,}.*(?:/|;|,|\n| or | o | y | and ).*\d{3,}", re.IGNORECASE | re.DOTALL)
_LABEL = re.compile(r"(?!ext)(?<![^\W_])[^\W\d_]{2,}[.:]?", re.IGNORECASE)  # cel, home, tel:
_ALMOST_A_DATE = re.compile(r"\d{1,4}([-/.])\d{1,2}\1\d{1,4}")
_LETTER_AMONG_DIGITS = re.compile(r"\d[^\W\d_]\d")  # the letter O or l typed for a digit


def parse_phone(typed: str, region: str = "US") -> str:
    """The number in E.164; `region` (ISO 3166-1 alpha-2) is the country of a number typed without one.

    Raises `BadInput`: phone.unreadable, phone.two, phone.no_area_code, phone.too_short, phone.too_long.
    Only the length is judged: new area codes appear faster than any table, so see `doubtful` for those.
    """
    text = _UNSEEN.sub("", typed).strip()
    number = _read(text, region)
    reason = phonenumbers.is_possible_number_with_reason(number)
    if reason == phonenumbers.ValidationResult.TOO_SHORT:
        raise BadInput("phone.too_short", typed=text, example=example(region))
    if reason == phonenumbers.ValidationResult.IS_POSSIBLE_LOCAL_ONLY:
        raise BadInput("phone.no_area_code", typed=text, example=example(region))
    if reason == phonenumbers.ValidationResult.TOO_LONG:
        key = "phone.two" if _TWO_NUMBERS.search(text) else "phone.too_long"
        raise BadInput(key, typed=text, example=example(region))
    if reason != phonenumbers.ValidationResult.IS_POSSIBLE:
        raise BadInput("phone.unreadable", typed=text, example=example(region))
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def _read(text: str, region: str) -> phonenumbers.PhoneNumber:
    if _TWO_NUMBERS.search(text):
        raise BadInput("phone.two", typed=text, example=example(region))
    bare = _LABEL.sub(" ", text)
    if _LETTER_AMONG_DIGITS.search(bare):
        raise BadInput("phone.unreadable", typed=text, example=example(region))
    try:
        number = phonenumbers.parse(bare, region)
    except phonenumbers.NumberParseException as error:
        raise BadInput("phone.unreadable", typed=text, example=example(region)) from error
    return _with_forgotten_plus(bare, number)


def _with_forgotten_plus(text: str, number: phonenumbers.PhoneNumber) -> phonenumbers.PhoneNumber:
    """`52 55 1234 5678` is a number from Mexico without its plus sign, when it is too long for home."""
    if phonenumbers.is_possible_number(number):
        return number
    try:
        abroad = phonenumbers.parse("+" + re.sub(r"\D", "", text))
    except phonenumbers.NumberParseException:
        return number
    return abroad if phonenumbers.is_valid_number(abroad) else number


def doubtful(number: str) -> bool:
    """True when no such area code or range is known today: worth a second look, not an error."""
    return not phonenumbers.is_valid_number(phonenumbers.parse(number))


def show_phone(number: str, region: str = "US") -> str:
    """An E.164 number as it is dialled and read in `region`; unreadable text comes back unchanged."""
    try:
        parsed = phonenumbers.parse(number)
    except phonenumbers.NumberParseException:
        return number
    home = phonenumbers.region_code_for_country_code(parsed.country_code or 0)
    same = parsed.country_code == phonenumbers.country_code_for_region(region) or home == region
    kind = phonenumbers.PhoneNumberFormat.NATIONAL if same else phonenumbers.PhoneNumberFormat.INTERNATIONAL
    return phonenumbers.format_number(parsed, kind)


def example(region: str = "US") -> str:
    """A number of the right shape to show beside an error; for the US one of those kept free for fiction."""
    if region == "US":
        return "(305) 555-0142"
    number = phonenumbers.example_number(region)
    if number is None:
        return "+1 305 555 0142"
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.NATIONAL)


def looks_like_phone(text: str) -> bool:
    """True for text made of 7 to 15 digits and the signs usual between them."""
    if _ALMOST_A_DATE.fullmatch(text.strip()):
        return False
    digits = sum(character.isdigit() for character in text)
    return 7 <= digits <= 15 and not re.search(r"[^\d\s()+.\-/x\u2010-\u2013#*]", _UNSEEN.sub("", text))
