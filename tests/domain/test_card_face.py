"""The card's layout against ISO/IEC 7810 and 18004 sizes, and against the names people really have."""

import datetime
import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from certificates.domain import card
from certificates.domain.card import CardContent, CardFace, Labels, ScopeWords, lay_out, module_size, short_date
from certificates.domain.metrics import face, fit, written

LABELS = Labels(
    valid_to="Valid to",
    no_end="No fixed end",
    issued="Issued",
    number="Card number",
    covers="This card covers",
    more="+{n} more: scan",
    record="Employer’s record, not a government licence.",
    check="Check it: scan the code, or type the number at {place}",
    keeper="Issued by {place}",
)
NAMES = [
    "Al",
    "Guadalupe Hernández Ortiz",
    "Wojciech Brzęczyszczykiewicz-Szczepański",  # Polish
    "Nguyễn Thị Phương Thảo Ẫn",  # Vietnamese, stacked accents
    "Ελένη Παπαδοπούλου",
    "Юлія Щербакова-Їжакевич",
    "Maximiliana Guadalupe Hernández-Ortiz de la Fuente y Montes",
    "W" * 60,
    "Wwwwwwwwwwwwwwwwwwwwwwwwwwwww Wwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
]


def content(**changes: object) -> CardContent:
    values: dict[str, object] = {
        "name": "Guadalupe Hernández Ortiz",
        "initials": "GH",
        "company": "Tolvane Roofing",
        "qualification": "Setting roof tile in one-component adhesive",
        "scopes": (ScopeWords("Low-profile tile", "low"), ScopeWords("Hip and ridge", "hip, ridge")),
        "issued_on": datetime.date(2026, 3, 5),
        "expires_on": datetime.date(2027, 3, 4),
        "number": "0123456716",
        "language": "en",
        "labels": LABELS,
        "check_place": "cards.tolvane.example/check",
        "phone": "(555) 010-0142",
    }
    return CardContent(**{**values, **changes})  # type: ignore[arg-type]


def texts(side: CardFace, part: str) -> str:
    return " ".join(line.text for line in side.part(part))


def assert_sound(side: CardFace) -> None:
    for line in (*side.front, *side.back):
        assert card.CARD.holds(line.box), (line.part, line.text, line.box)
        assert line.face.covers(line.text), line.text
    for line in side.front:
        assert not line.box.meets(side.qr), (line.part, line.text)
        assert line.part == "initials" or not line.box.meets(side.photo), (line.part, line.text)
    for one, other in zip(side.back, side.back[1:], strict=False):
        assert one.text != "" and other.text != ""


def test_the_card_is_id_1() -> None:
    """ISO/IEC 7810:2019 ID-1: 85.60 by 53.98 mm, corner radius 2.88 to 3.48 mm."""
    assert (card.WIDTH, card.HEIGHT) == (85.60, 53.98)
    assert 2.88 <= card.CORNER <= 3.48


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_whole_and_clear_of_photo_code_and_edge(name: str) -> None:
    side = lay_out(content(name=name))
    assert_sound(side)
    assert "".join(line.text for line in side.part("name")).replace(" ", "") == name.replace(" ", "")
    assert all(card.NAME.x <= line.box.x and line.box.right <= card.NAME.right for line in side.part("name"))
    assert all(line.box.y > 9 and line.box.bottom < card.QR.y for line in side.part("name"))


@pytest.mark.parametrize("name", NAMES)
def test_a_name_of_60_characters_stays_legible(name: str) -> None:
    """At least 6.5 pt (2.3 mm) for any 60 characters; common practice, no source."""
    assert min(line.size for line in lay_out(content(name=name)).part("name")) >= 2.3


def test_a_short_name_is_printed_large_and_a_long_one_over_two_lines() -> None:
    assert lay_out(content(name="Ana Li")).part("name")[0].size > 7
    assert len(lay_out(content(name=NAMES[6])).part("name")) == 2


@settings(deadline=None, max_examples=150)
@given(st.text(st.characters(exclude_categories=("Cs", "Cc", "Cn", "Co")), min_size=1, max_size=120))
def test_no_name_at_all_leaves_its_place(name: str) -> None:
    assert_sound(lay_out(content(name=name or "?")))


def test_a_whole_name_is_set_in_one_face() -> None:
    assert written("Brzęczyszczykiewicz", True)[1].family == "atkinson"
    assert written("Nguyễn Thị Ánh", True)[1].family == "noto"
    assert written("田中 Ana", True)[0] == "TianZhong Ana"


@pytest.mark.parametrize("count", [1, 2, 4, 5, 6, 12, 16, 40, 60])
@pytest.mark.parametrize("word", ["", "Metal and preformed eave closure, straight "])
def test_scopes_are_in_words_and_never_run_over(count: int, word: str) -> None:
    scopes = tuple(ScopeWords(f"{word or 'Title'} {n:02d}", f"short {n:02d}") for n in range(count))
    side = lay_out(content(scopes=scopes))
    assert_sound(side)
    lowest = max(line.box.bottom for line in side.part("scope"))
    assert lowest < min(line.box.y for line in side.part("record")) + 0.6
    said = texts(side, "scope")
    shown = sum(f"{n:02d}" in said for n in range(count))
    assert shown == count or f"+{count - shown} more: scan" in said


def test_forty_scopes_say_how_many_more_there_are() -> None:
    scopes = tuple(ScopeWords(f"Title {n:02d}", f"quite a long short word {n:02d}") for n in range(40))
    said = texts(lay_out(content(scopes=scopes)), "scope")
    shown = sum(f"word {n:02d}" in said for n in range(40))
    assert 12 <= shown < 40
    assert said.endswith(f"+{40 - shown} more: scan")


def test_a_listed_scope_has_its_own_tile_mark_on_the_card() -> None:
    side = lay_out(content())
    assert len(side.marks) == 2
    assert all(card.CARD.holds(mark) for mark in side.marks)


@pytest.mark.parametrize(
    "company",
    ["Tolvane Roofing", "Hermanos Villagrán de Port Tolmer Cubiertas y Tejados Limitada y Cía del Norte", "W" * 80],
)
def test_a_long_company_and_title_fit_above_the_tiles(company: str) -> None:
    side = lay_out(content(company=company, qualification="Colocación de teja con adhesivo de un solo componente " * 2))
    assert_sound(side)
    head = [*side.part("company"), *side.part("qualification")]
    assert max(line.box.bottom for line in head) < 9.6
    assert all(a.y + 0.2 * a.size < b.y for a, b in itertools.pairwise(head))


@pytest.mark.parametrize(
    ("day", "english", "spanish"),
    [
        (datetime.date(2027, 3, 4), "4 Mar 2027", "4 mar 2027"),
        (datetime.date(2026, 9, 30), "30 Sep 2026", "30 sept 2026"),
        (datetime.date(2028, 1, 1), "1 Jan 2028", "1 ene 2028"),
    ],
)
def test_dates_name_the_month(day: datetime.date, english: str, spanish: str) -> None:
    """Unicode CLDR 45, abbreviated month names of en and es (from memory)."""
    assert (short_date(day, "en"), short_date(day, "es")) == (english, spanish)


def test_a_card_without_a_fixed_end_says_so() -> None:
    assert texts(lay_out(content(expires_on=None)), "expires") == "No fixed end"


def test_the_card_says_whose_record_it_is() -> None:
    side = lay_out(content())
    assert texts(side, "record") == LABELS.record
    assert "Tolvane Roofing · (555) 010-0142" in texts(side, "keeper")
    assert "cards.tolvane.example/check" in texts(side, "check")
    assert texts(side, "number") == "0123-4567-16"


@pytest.mark.parametrize("version", range(1, 11))
def test_modules_up_to_version_10_are_large_enough_to_scan(version: int) -> None:
    """ISO/IEC 18004:2015: 17 + 4v modules a side and 4 light ones around; ICAO Doc 9303-13: at least 0.3386 mm."""
    assert module_size(17 + 4 * version) >= card.SMALLEST_MODULE >= 0.3386


def test_widths_come_from_the_bundled_font_files() -> None:
    """Against the advances in the file itself: `A` of a 1000-unit font is its hmtx entry."""
    from fontTools.ttLib import TTFont

    from certificates.domain.metrics import FONTS

    with TTFont(FONTS / "AtkinsonHyperlegible-Bold.ttf") as font:
        advance = font["hmtx"]["A"][0] / font["head"].unitsPerEm
    assert face("atkinson", True).advances[ord("A")] == pytest.approx(advance)
    assert fit("AAAA", 100, bold=True, largest=(5,), smallest=1).size == 5
