"""Cards as PDF: one card on two pages of its own size, or eight to a US Letter sheet with mirrored backs."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.utils.translation import get_language

import certificates
from certificates import drawing
from certificates.domain.card import HEIGHT, WIDTH, CardFace
from certificates.domain.metrics import FONTS
from certificates.drawing import mm
from certificates.qr import Symbol

STYLES = Path(certificates.__file__).parent / "print.css"  # not a static file: its fonts are read from FONTS

LETTER = (215.9, 279.4)
COLUMNS, ROWS = 2, 4
GAP = 8.0
CROP_FROM, CROP_TO = 2.4, 5.6  # mm from a card's edge: past the bleed, short of the next card's


@dataclass(frozen=True)
class Printable:
    """A card ready to draw: its layout, its code, its photo as data (or none) and a name for those who listen."""

    face: CardFace
    symbol: Symbol
    photo: str = ""
    label: str = ""


@dataclass(frozen=True)
class Side:
    """One drawn side and its place on the page, in mm."""

    art: SafeString
    x: str = "0"
    y: str = "0"


@dataclass(frozen=True)
class Page:
    """The sides on one page, crop marks and a line for whoever prints."""

    sides: Sequence[Side]
    label: str
    language: str = "en"
    crops: str = ""
    note: str = ""
    note_x: str = field(default_factory=lambda: mm(LETTER[0] / 2))


def card_pdf(cards: Sequence[Printable], *, title: str, author: str) -> bytes:
    """Front and back of each card on pages of 85.60 x 53.98 mm, as card printers take them."""
    pages = []
    for card in cards:
        for art in (drawing.front(card.face, card.symbol, card.photo), drawing.back(card.face)):
            pages.append(Page([Side(art)], card.label, card.face.language))
    return _write("card", (WIDTH, HEIGHT), pages, title, author)


def sheet_pdf(cards: Sequence[Printable], *, title: str, author: str, note: str) -> bytes:
    """Eight cards to a Letter sheet, then their backs in mirrored columns, to be turned over the long edge."""
    pages = []
    for start in range(0, len(cards), COLUMNS * ROWS):
        some = cards[start : start + COLUMNS * ROWS]
        fronts = [drawing.front(card.face, card.symbol, card.photo) for card in some]
        backs = [drawing.back(card.face) for card in some]
        label = ", ".join(card.label for card in some)
        pages.append(_sheet(fronts, label, note, mirrored=False))
        pages.append(_sheet(backs, label, note, mirrored=True))
    return _write("sheet", LETTER, pages, title, author)


def place(index: int, *, mirrored: bool = False) -> tuple[float, float]:
    """The top left corner of a card on the sheet, in mm; a back lies behind its front when the sheet is turned."""
    row, column = divmod(index, COLUMNS)
    if mirrored:
        column = COLUMNS - 1 - column
    left = (LETTER[0] - COLUMNS * WIDTH - (COLUMNS - 1) * GAP) / 2
    top = (LETTER[1] - ROWS * HEIGHT - (ROWS - 1) * GAP) / 2
    return left + column * (WIDTH + GAP), top + row * (HEIGHT + GAP)


def _sheet(arts: Sequence[SafeString], label: str, note: str, *, mirrored: bool) -> Page:
    places = [place(index, mirrored=mirrored) for index in range(len(arts))]
    sides = [Side(art, mm(x), mm(y)) for art, (x, y) in zip(arts, places, strict=True)]
    crops = "".join(line for x, y in places for line in _crops(x, y))
    return Page(sides, label, get_language() or "en", crops, note)


def _crops(x: float, y: float) -> Iterator[str]:
    length = mm(CROP_TO - CROP_FROM)
    for edge in (y, y + HEIGHT):
        for start in (x - CROP_TO, x + WIDTH + CROP_FROM):
            yield f"M{mm(start)} {mm(edge)}h{length}"
    for edge in (x, x + WIDTH):
        for start in (y - CROP_TO, y + HEIGHT + CROP_FROM):
            yield f"M{mm(edge)} {mm(start)}v{length}"


def _write(kind: str, size: tuple[float, float], pages: Sequence[Page], title: str, author: str) -> bytes:
    # Imported here: WeasyPrint loads Pango, which nobody needs before the first PDF.
    import weasyprint

    html = render_to_string(
        "certificates/pdf.html",
        {
            "kind": kind,
            "pages": pages,
            "size": {"width": mm(size[0]), "height": mm(size[1])},
            "title": title,
            "author": author,
            "language": get_language() or "en",
        },
    )
    fetcher = _closed_fetcher()
    fonts = weasyprint.text.fonts.FontConfiguration()
    styles = weasyprint.CSS(
        string=STYLES.read_text("utf-8"), base_url=FONTS.as_uri() + "/", font_config=fonts, url_fetcher=fetcher
    )
    document = weasyprint.HTML(string=html, url_fetcher=fetcher)
    return bytes(document.write_pdf(stylesheets=[styles], font_config=fonts, pdf_tags=True))


@functools.cache
def _closed_fetcher() -> Any:
    """Reads the bundled fonts and data inside the page; nothing else, whatever a name or a photo may hold."""
    from weasyprint.urls import URLFetcher

    allowed = FONTS.resolve().as_uri() + "/"

    class ClosedFetcher(URLFetcher):
        def fetch(self, url: str, headers: Any = None) -> Any:
            if not (url.startswith("data:") or (url.startswith(allowed) and ".." not in url)):
                raise ValueError("only bundled fonts and inline data may be read")
            return super().fetch(url, headers)

    return ClosedFetcher(allowed_protocols=["data", "file"])
