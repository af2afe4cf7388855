"""Every printed page, drawn at 200 dpi: size, names, the code and the quiet zone around it."""

from __future__ import annotations

import datetime
import io
import subprocess
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from certificates import drawing, pdf, qr
from certificates.domain import card as layout
from certificates.domain.card import CardContent, ScopeWords, lay_out, module_size
from certificates.drawing import INKS
from certificates.pdf import LETTER, Printable, card_pdf, sheet_pdf
from certificates.texts import card_labels
from tests.domain.test_card_face import NAMES

pytestmark = pytest.mark.needs("pdftoppm")

DPI = 200
LINK = "https://cards.tolvane.example/c/{:A>22}/"
LONG_COMPANY = "Hermanos Villagrán de Port Tolmer Cubiertas y Tejados Limitada y Cía del Norte"
POINT = 25.4 / 72  # mm


def content(name: str = "Guadalupe Hernández Ortiz", scopes: int = 3, language: str = "en") -> CardContent:
    words = tuple(ScopeWords(f"Pre-formed eave closure {n:02d}", f"short scope {n:02d}") for n in range(scopes))
    return CardContent(
        name=name,
        initials=name[:1].upper(),
        company="Tolvane Roofing",
        qualification="Setting roof tile in one-component adhesive",
        scopes=words,
        issued_on=datetime.date(2026, 3, 5),
        expires_on=datetime.date(2028, 3, 4),
        number="0123456716",
        language=language,
        labels=card_labels(language),
        check_place="cards.tolvane.example/c",
        phone="(305) 555-0142",
    )


def printable(text: CardContent, link: str = LINK.format("1"), photo: str = "") -> Printable:
    return Printable(lay_out(text), qr.card_symbol(link), photo, text.name)


CASES = {
    **{f"name {number}": content(name) for number, name in enumerate(NAMES)},
    "40 scopes": content(scopes=40),
    "no scopes": content(scopes=0),
    "in Spanish": content(scopes=40, language="es"),
    "long company": replace(content(), company=LONG_COMPANY),
    "no end": replace(content(), expires_on=None),
}


def one(card: Printable) -> bytes:
    return card_pdf([card], title="Card", author="Tolvane Roofing")


def draw(data: bytes, folder: Path, dpi: int = DPI) -> list[Image.Image]:
    """Each page as an RGB image, drawn by poppler."""
    (folder / "cards.pdf").write_bytes(data)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-png", "cards.pdf", "page"], cwd=folder, check=True, timeout=60)
    pages = []
    for path in sorted(folder.glob("page-*.png")):
        with Image.open(path) as picture:
            pages.append(picture.convert("RGB"))
        path.unlink()
    return pages


def crop(page: Image.Image, box: layout.Box, x: float = 0, y: float = 0, dpi: int = DPI) -> Image.Image:
    per_mm = dpi / 25.4
    edges = (box.x + x, box.y + y, box.right + x, box.bottom + y)
    return page.crop(tuple(round(edge * per_mm) for edge in edges))


def darkest_in_quiet_zone(square: Image.Image, modules: int) -> int:
    """The darkest grey (0 to 255) in the code's square, with the modules themselves painted over."""
    side = square.width
    quiet = layout.QUIET_MODULES / (modules + 2 * layout.QUIET_MODULES) * side
    painted = square.convert("L")
    painted.paste(255, (round(quiet) - 1, round(quiet) - 1, round(side - quiet) + 1, round(side - quiet) + 1))
    return int(painted.crop((1, 1, side - 1, side - 1)).getextrema()[0])


@pytest.mark.parametrize("case", CASES)
def test_a_card_is_two_pages_of_id_1_and_its_code_decodes(case: str, tmp_path: Path) -> None:
    """ISO/IEC 7810:2019 ID-1, 85.60 x 53.98 mm = 242.646 x 153.014 pt, within 0.05 mm."""
    ready = printable(CASES[case])
    data = one(ready)
    boxes = [page.mediabox for page in PdfReader(io.BytesIO(data)).pages]
    assert len(boxes) == 2
    for box in boxes:
        assert float(box.width) * POINT == pytest.approx(85.60, abs=0.05)
        assert float(box.height) * POINT == pytest.approx(53.98, abs=0.05)
    front, back = draw(data, tmp_path)
    assert qr.read(front) == [ready.symbol.text]
    assert qr.read(back) == []
    assert darkest_in_quiet_zone(crop(front, layout.QR), ready.symbol.modules) >= 250


def page_text(data: bytes, number: int) -> str:
    return " ".join(PdfReader(io.BytesIO(data)).pages[number].extract_text().split())


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_printed_whole_as_text(name: str) -> None:
    assert squeezed(name) in squeezed(page_text(one(printable(content(name))), 0))


def test_only_the_bundled_fonts_are_used_and_all_are_embedded() -> None:
    data = card_pdf([printable(text) for text in CASES.values()], title="Cards", author="x")
    fonts = set()
    for page in PdfReader(io.BytesIO(data)).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            assert "/FontFile2" in inner["/FontDescriptor"].get_object()
            fonts.add(str(inner["/BaseFont"]).partition("+")[2])
    assert fonts
    assert all(name.startswith(("Atkinson-Hyperlegible", "Noto-Sans")) for name in fonts), fonts


@pytest.mark.parametrize("name", NAMES)
def test_print_is_as_wide_as_it_was_measured(name: str, tmp_path: Path) -> None:
    """No ink of the name outside its own box, measured on the drawn page: the widths are those of the renderer."""
    front = draw(one(printable(content(name))), tmp_path)[0]
    ground = front.getpixel((5, round(14 * DPI / 25.4)))
    lines = lay_out(content(name)).part("name")
    right = max(line.box.right for line in lines)
    strip = crop(front, layout.Box(right + 0.15, 13.2, 85 - right - 0.15, 11))
    assert [colour for _count, colour in strip.getcolors(1 << 20) or []] == [ground]


def test_the_sheet_is_letter_with_eight_cards_and_backs_behind_their_fronts(tmp_path: Path) -> None:
    """US Letter, 8.5 x 11 in = 215.9 x 279.4 mm (ANSI/ASME Y14.1); eight codes decode; backs mirror the columns."""
    cards = [printable(content(f"Person {n}"), LINK.format(n)) for n in range(8)]
    data = sheet_pdf(cards, title="Cards", author="x", note="Print at 100 %.")
    pages = PdfReader(io.BytesIO(data)).pages
    assert len(pages) == 2
    for page in pages:
        assert float(page.mediabox.width) * POINT == pytest.approx(LETTER[0], abs=0.05)
        assert float(page.mediabox.height) * POINT == pytest.approx(LETTER[1], abs=0.05)
    front, back = draw(data, tmp_path)
    assert sorted(qr.read(front)) == sorted(card.symbol.text for card in cards)
    for index, card in enumerate(cards):
        x, y = pdf.place(index)
        assert qr.read(crop(front, layout.CARD, x, y)) == [card.symbol.text]
        behind = pdf.place(index, mirrored=True)
        assert behind[0] == pytest.approx(LETTER[0] - x - layout.WIDTH)
        assert behind[1] == pytest.approx(y)
        assert crop(back, layout.CARD, *behind).getpixel((40, 40)) != (255, 255, 255)


def test_nine_cards_take_two_sheets() -> None:
    data = sheet_pdf([printable(content())] * 9, title="Cards", author="x", note="")
    assert len(PdfReader(io.BytesIO(data)).pages) == 4


def test_crop_marks_stand_clear_of_every_card(tmp_path: Path) -> None:
    """Marks are black lines past the bleed: ink where a mark is due, none on the card's own edge."""
    page = draw(sheet_pdf([printable(content())], title="Cards", author="x", note=""), tmp_path, 300)[0]
    x, y = pdf.place(0)
    for mark in (layout.Box(x - 5.4, y - 0.2, 2.8, 0.4), layout.Box(x - 0.2, y - 5.4, 0.4, 2.8)):
        assert crop(page, mark, dpi=300).convert("L").getextrema()[0] < 60
    assert pdf.CROP_FROM > drawing.BLEED


def test_a_card_with_a_photo_shows_it(tmp_path: Path) -> None:
    import base64

    out = io.BytesIO()
    Image.new("RGB", (320, 400), (10, 200, 30)).save(out, "JPEG")
    photo = "data:image/jpeg;base64," + base64.b64encode(out.getvalue()).decode()
    front = draw(one(printable(content(), photo=photo)), tmp_path)[0]
    red, green, blue = crop(front, layout.PHOTO).resize((1, 1)).getpixel((0, 0))
    assert green > 180
    assert max(red, blue) < 60


@pytest.mark.parametrize("photo", ["https://photos.example/face.jpg", "file:///etc/hostname", "http://127.0.0.1:9/x"])
def test_printing_fetches_nothing_but_bundled_fonts_and_data(photo: str) -> None:
    fetcher = pdf._closed_fetcher()
    with pytest.raises(ValueError, match="only bundled"):
        fetcher.fetch(photo)
    assert one(printable(content(), photo=photo)).startswith(b"%PDF-")


def test_names_are_text_and_never_markup(tmp_path: Path) -> None:
    data = one(printable(content("<b>Ana</b> & </svg><script>")))
    assert "<b>Ana</b>" in page_text(data, 0)
    assert len(draw(data, tmp_path)) == 2


def test_a_code_of_version_10_still_fits_the_card(tmp_path: Path) -> None:
    """ISO/IEC 18004:2015 table 7: version 10 at level M holds 213 bytes; 65 modules with their quiet zone."""
    link = "https://cards.tolvane.example/c/#" + "a" * 180
    ready = printable(content(), link)
    assert ready.symbol.modules == 57
    assert module_size(57) >= layout.SMALLEST_MODULE
    assert qr.read(draw(one(ready), tmp_path, 150)[0]) == [link]


def test_a_link_that_would_need_too_small_modules_is_refused() -> None:
    with pytest.raises(qr.TooLong):
        qr.card_symbol("https://cards.tolvane.example/c/#" + "a" * 300)


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(
    ("ink", "ground", "least"),
    [("night", "lime", 7), ("slate", "lime", 7), ("lime", "night", 7), ("mortar", "night", 7), ("lime", "clay", 4.5)],
)
def test_every_ink_on_the_card_is_readable_in_the_sun(ink: str, ground: str, least: float) -> None:
    """WCAG 2.2, 1.4.6 (7:1) for words, 1.4.3 (4.5:1) for the large initials; luminance as defined there."""
    light, dark = sorted((luminance(INKS[ink]), luminance(INKS[ground])), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= least


def test_the_same_drawing_serves_screen_and_paper() -> None:
    ready = printable(content())
    art = drawing.front(ready.face, ready.symbol)
    assert "style=" not in art
    assert all(part in art for part in ("Guadalupe Hernández Ortiz", ready.symbol.path))


def test_numbers_in_the_drawing_keep_the_full_stop_in_spanish() -> None:
    from django.utils.translation import override

    ready = printable(content())
    with override("es"):
        assert drawing.front(ready.face, ready.symbol) == drawing.front(ready.face, ready.symbol)
        spanish = drawing.front(ready.face, ready.symbol)
    with override("en"):
        assert spanish == drawing.front(ready.face, ready.symbol)


def codes(pages: Sequence[Image.Image]) -> list[str]:
    return [text for page in pages for text in qr.read(page)]


@pytest.mark.parametrize("dpi", [100, 150, 300])
def test_the_code_decodes_at_low_resolution(dpi: int, tmp_path: Path) -> None:
    ready = printable(content())
    assert codes(draw(one(ready), tmp_path, dpi)) == [ready.symbol.text]
