"""Card numbers: eight random characters and two check characters, easy to read aloud and to type with gloves on."""

import secrets
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from stdnum.iso7064 import mod_97_10

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""32 characters: no I, L or O, which look like 1 and 0, and no U, which is heard as W or V."""

BODY = 8
LENGTH = BODY + 2
GROUPS = (4, 4, 2)

_LOOKALIKES = str.maketrans({"O": "0", "I": "1", "L": "1"})


class Fault(StrEnum):
    """Why a typed text cannot be any card's number. None of these needs a look at the register."""

    EMPTY = "empty"
    LENGTH = "length"
    SYMBOL = "symbol"
    CHECK = "check"


@dataclass(frozen=True)
class Typed:
    """A typed number as understood: `number` where it is well formed, else `fault` and the character in the way."""

    number: str | None
    fault: Fault | None = None
    length: int = 0
    symbol: str = ""


def new_number(random_bytes: Callable[[int], bytes] = secrets.token_bytes) -> str:
    """A fresh number of 40 random bits. It is not secret: the card's own secret is what cannot be guessed."""
    body = "".join(ALPHABET[byte % len(ALPHABET)] for byte in random_bytes(BODY))
    return body + check_characters(body)


def check_characters(body: str) -> str:
    """The two check digits of ISO/IEC 7064:2003 MOD 97-10, letters counting 10 to 35 as in that standard's users."""
    return str(mod_97_10.calc_check_digits(body))


def shown(number: str) -> str:
    """The number in groups, as printed: K7QM-3XHD-42."""
    parts, start = [], 0
    for size in GROUPS:
        parts.append(number[start : start + size])
        start += size
    return "-".join(parts)


def read(text: str) -> Typed:
    """What somebody typed or read over the telephone: case, spaces, dashes, O for 0 and I or L for 1 do not matter."""
    kept = [c for c in unicodedata.normalize("NFKC", text).upper() if not _is_spacing(c)]
    number = "".join(kept).translate(_LOOKALIKES)
    if not number:
        return Typed(None, Fault.EMPTY)
    strange = next((c for c in number if c not in ALPHABET), "")
    if strange:
        return Typed(None, Fault.SYMBOL, len(number), strange)
    if len(number) != LENGTH:
        return Typed(None, Fault.LENGTH, len(number))
    if not _checks(number):
        return Typed(None, Fault.CHECK, LENGTH)
    return Typed(number, None, LENGTH)


def _checks(number: str) -> bool:
    # The remainder alone would also accept 01 for 98 and the like; a number is written in one way only.
    return number[BODY:] == check_characters(number[:BODY])


def _is_spacing(character: str) -> bool:
    return character.isspace() or unicodedata.category(character) in {"Pd", "Cf", "Cc"} or character in "._/"
