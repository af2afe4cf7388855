"""QR codes, made and read by zxing-cpp: one symbol as an SVG path in modules, sized by whoever draws it."""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import zxingcpp

from certificates.domain.card import SMALLEST_MODULE, module_size

LEVEL = "M"  # ISO/IEC 18004:2015: about 15 % of the symbol may be unreadable


@dataclass(frozen=True)
class Symbol:
    """A QR symbol without its quiet zone: `modules` a side, dark modules as rectangles of an SVG path."""

    text: str
    modules: int
    path: str


class TooLong(ValueError):
    """The text would need modules too small to print and scan."""


@lru_cache(maxsize=256)
def symbol(text: str) -> Symbol:
    """The symbol for a text at error correction level M."""
    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level=LEVEL)
    svg = made.to_svg(add_quiet_zones=False)
    size = re.search(r'<svg width="(\d+)"', svg)
    path = re.search(r'<path d="([^"]+)"', svg)
    if size is None or path is None:
        raise ValueError("zxing-cpp wrote an SVG of another shape")
    return Symbol(text, int(size[1]), path[1])


def card_symbol(text: str) -> Symbol:
    """The symbol for a card; refuses a text whose modules would be below 0.38 mm there."""
    made = symbol(text)
    if module_size(made.modules) < SMALLEST_MODULE:
        raise TooLong(f"{len(text)} characters need {made.modules} modules a side")
    return made


def read(image: Any) -> list[str]:
    """The texts of all QR codes in an image (Pillow image or array)."""
    found = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode))
    return [code.text for code in found]
