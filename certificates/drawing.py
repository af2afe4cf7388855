"""From a laid-out card to what the SVG templates need: numbers as plain text, inks as colours."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from certificates.domain.card import CORNER, HEIGHT, QUIET_MODULES, WIDTH, Box, CardFace, Text, module_size
from certificates.qr import Symbol

# Night sky, slate, lime mortar, limewash, fired clay; all text on its ground at 7:1 or better (tested).
INKS = {"night": "#14202c", "slate": "#3a4550", "lime": "#f4f1e8", "mortar": "#dcd9cc", "clay": "#944321"}
FAMILIES = {"atkinson": "Atkinson Hyperlegible", "noto": "Noto Sans"}
BLEED = 2.14  # half a tile: what is drawn past the edge, so that a cut slightly off leaves no white line


@dataclass(frozen=True)
class Run:
    """One line of text as SVG attributes."""

    text: str
    x: str
    y: str
    size: str
    family: str
    weight: int
    fill: str
    anchor: str


@dataclass(frozen=True)
class Place:
    """A rectangle as SVG attributes."""

    x: str
    y: str
    width: str
    height: str


def mm(value: float) -> str:
    """A length with a full stop in every language, to a thousandth of a millimetre."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def front(face: CardFace, symbol: Symbol, photo: str = "") -> SafeString:
    """The front as SVG content in mm, without its `svg` element; `photo` is an address or data of a 4:5 picture."""
    module = module_size(symbol.modules)
    quiet = QUIET_MODULES * module
    context = {
        "runs": _runs(text for text in face.front if not (photo and text.part == "initials")),
        "photo": photo,
        "photo_box": _place(face.photo),
        "qr_box": _place(face.qr),
        "qr": symbol,
        "qr_at": f"translate({mm(face.qr.x + quiet)} {mm(face.qr.y + quiet)}) scale({module:.6f})",
        "ink": INKS,
    }
    return render_to_string("certificates/_card_front.svg", context)


def back(face: CardFace) -> SafeString:
    """The back as SVG content in mm."""
    marks = [f"translate({mm(b.x)} {mm(b.y)}) scale({mm(b.width)} {mm(b.height)})" for b in face.marks]
    return render_to_string("certificates/_card_back.svg", {"runs": _runs(face.back), "marks": marks, "ink": INKS})


def frame() -> dict[str, str]:
    """The card's own measures for the element around a side."""
    return {"width": mm(WIDTH), "height": mm(HEIGHT), "corner": mm(CORNER)}


def _runs(texts: Iterable[Text]) -> list[Run]:
    return [
        Run(
            text.text,
            mm(text.x),
            mm(text.y),
            mm(text.size),
            FAMILIES[text.face.family],
            700 if text.face.bold else 400,
            INKS[text.ink],
            "middle" if text.middle else "start",
        )
        for text in texts
    ]


def _place(box: Box) -> Place:
    return Place(mm(box.x), mm(box.y), mm(box.width), mm(box.height))
