"""Drawings of questions are to scale, speak in both languages, and use presentation attributes only."""

import re
from xml.etree import ElementTree

import pytest

from training.content import demo_rule_book
from training.domain.figures import PLACED, SPOKEN, Figure, placed, sized
from training.domain.questions import patterns_for, question
from training.domain.rule_hints import PLACES, PROFILES, SKETCHES
from training.domain.rules import RuleBook
from training.domain.text import LANGUAGES
from training.domain.units import measure
from training.drawings.figures import HEIGHT, KINDS, WIDTH, figure

BOOK = RuleBook.parse(demo_rule_book())
SIZES = {"slope": "pitch", "ladder": "one_to"}
ALLOWED = {
    "class", "viewBox", "focusable", "width", "height", "role", "aria-label", "d", "fill", "stroke", "stroke-width",
    "stroke-linejoin", "x", "y", "rx", "text-anchor", "font-size", "font-weight", "color",
}  # fmt: skip


def a_drawing(kind: str, number: str = "3", span: str = "5") -> Figure:
    unit = SIZES.get(kind, "in")
    if kind == "area":
        return sized(kind, measure(number, unit), measure("2", unit))
    return sized(kind, measure(number, unit), profile="medium", span=measure(span, unit))


ALL = [
    *(a_drawing(kind) for kind in sorted(KINDS - {"pad_place"})),
    *(placed(place, profile) for place in PLACES for profile in PROFILES),
    *(sized("pad_height", measure("2 1/4", "in"), profile=profile) for profile in PROFILES),
    sized("area", measure("7 1/2", "in"), measure("2 1/2", "in")),
    sized("area", measure("2", "in"), measure("3 1/2", "in")),
]


def test_all_that_a_book_may_ask_for_can_be_drawn_and_spoken() -> None:
    assert set(SKETCHES) <= KINDS
    assert set(SPOKEN) | {"pad_place"} == KINDS
    assert set(PLACED) == set(PLACES)


@pytest.mark.parametrize("asked", ALL)
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_drawing_is_well_formed_spoken_and_needs_no_style(asked: Figure, language: str) -> None:
    root = ElementTree.fromstring(figure(asked, language))
    assert (root.get("role"), root.get("aria-label")) == ("img", asked.spoken[language])
    assert {name for element in root.iter() for name in element.attrib} <= ALLOWED


@pytest.mark.parametrize("kind", sorted(KINDS - {"pad_place", "area"}))
@pytest.mark.parametrize(("number", "span"), [("1/4", "12"), ("3", "3"), ("40", "40"), ("1/2", "1/2")])
def test_any_size_fits_into_the_picture(kind: str, number: str, span: str) -> None:
    root = ElementTree.fromstring(figure(a_drawing(kind, number, span), "en"))
    for element in root.iter():
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        width, height = float(element.get("width", "0")), float(element.get("height", "0"))
        assert x >= 0 and x + (width if element is not root else 0) <= WIDTH + 0.01
        assert y >= 0 and y + (height if element is not root else 0) <= HEIGHT + 0.01


@pytest.mark.parametrize("asked", ALL)
@pytest.mark.parametrize("language", LANGUAGES)
def test_numbers_are_not_cut_off(asked: Figure, language: str) -> None:
    """Letters of 14 px are at most 8 px wide on average."""
    for x, anchor, words in re.findall(
        r'<text x="([\d.]+)"[^>]*text-anchor="(\w+)"[^>]*>([^<]*)<', figure(asked, language)
    ):
        start = float(x) - (4 * len(words) if anchor == "middle" else 0)
        assert start >= 0 and start + 8 * len(words) <= WIDTH, words


def long_side(svg: str) -> float:
    """Width of the foam, or of a lap's measure."""
    box = re.search(r'width="([\d.]+)"[^>]*fill="#f2c94c"', svg)
    assert box
    return float(box[1])


def test_drawings_of_one_question_are_to_one_scale() -> None:
    span = measure("8", "in")
    widths = [long_side(figure(sized("pad_length", measure(n, "in"), span=span), "en")) for n in ("2", "4", "8")]
    assert widths[1] == pytest.approx(2 * widths[0], rel=0.01)
    assert widths[2] == pytest.approx(4 * widths[0], rel=0.01)


def test_the_same_length_in_millimeters_draws_the_same() -> None:
    inches = long_side(figure(sized("pad_length", measure("4", "in"), span=measure("8", "in")), "en"))
    metric = long_side(figure(sized("pad_length", measure("101.6", "mm"), span=measure("203.2", "mm")), "en"))
    assert metric == pytest.approx(inches, rel=0.01)


def test_a_roof_is_as_steep_as_its_slope() -> None:
    for rise in ("2", "6", "12"):
        svg = figure(sized("slope", measure(rise, "pitch")), "en")
        found = re.search(r'd="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)V', svg)
        assert found
        left, floor, right, top = map(float, found.groups())
        assert (floor - top) / (right - left) == pytest.approx(float(rise) / 12, rel=0.01)


def test_a_ladder_stands_one_out_for_four_up() -> None:
    """29 CFR 1926.1053(b)(5)(i)."""
    svg = figure(sized("ladder", measure("4", "one_to")), "en")
    foot, floor, wall, top = map(float, re.findall(r'd="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"', svg)[0])
    assert (floor - top) / (wall - foot) == pytest.approx(4, rel=0.01)


def test_every_drawing_of_the_demo_says_the_same_number_that_it_shows() -> None:
    drawings = [
        option.figure
        for rule in BOOK.rules
        if "pick-drawing" in patterns_for(rule)
        for seed in range(6)
        for option in question(rule, "pick-drawing", str(seed)).options
        if option.figure is not None and option.figure.sizes
    ]
    assert len(drawings) > 60
    for asked in drawings:
        for language in LANGUAGES:
            words = re.findall(r"<text[^>]*>([^<]+)</text>", figure(asked, language))
            assert any(word in asked.spoken[language] for word in words)
