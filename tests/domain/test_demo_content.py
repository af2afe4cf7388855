"""The demo's checklist, documents and people hold together, and their numbers are the rule book's."""

import csv
import re
import xml.etree.ElementTree as ET
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from training.content import demo_documents, demo_people, demo_rule_book, starter_qualification
from training.domain.material import numbers_that_differ, word_count
from training.domain.phones import parse_phone
from training.domain.qualification import Qualification
from training.domain.rules import RuleBook
from training.domain.text import LANGUAGES
from training.domain.units import measure, show

MESSY = Path(__file__).parents[1] / "files" / "crew_messy.csv"


@pytest.fixture(scope="module")
def book() -> RuleBook:
    return RuleBook.parse(demo_rule_book())


@pytest.fixture(scope="module")
def qualification() -> Qualification:
    return Qualification.parse(starter_qualification())


# --- the checklist ----------------------------------------------------------------------------------------------


def test_the_checklist_asks_for_known_scopes_and_stops_at_danger(book: RuleBook, qualification: Qualification) -> None:
    scopes = {scope["key"] for family in starter_qualification()["families"] for scope in family["scopes"]}
    assert {scope for item in book.checklist for scope in item.scopes} <= scopes
    common = {"profile:low", "slope:s2", "eave:metal", "detail:valley-cut", "support:direct", "work:new"}
    asked = [item for item in book.checklist if not item.scopes or item.scopes & common]
    assert 34 <= len(asked) <= 42
    stops = {item.rule for item in book.checklist if item.weight == "stop"}
    assert {"", "gloves", "ladder-angle", "ladder-rails", "first-signs", "fresh-walk", "tile-cutting"} == stops
    measured = {item.rule for item in asked if item.kind == "measured"}
    assert {"product-temperature", "pad-length-low", "open-time", "contact-area", "weep-spacing"} <= measured


# --- the documents ----------------------------------------------------------------------------------------------

Sections = dict[str, dict[str, Any]]


def revisions(document: dict[str, Any]) -> list[Sections]:
    """The sections of each revision by key; a section given by its key alone is that of the revision before."""
    found: list[Sections] = []
    for revision in document["revisions"]:
        before = found[-1] if found else {}
        given = {section["key"]: section for section in revision["sections"]}
        found.append({key: section if "body" in section else before[key] for key, section in given.items()})
    return found


@pytest.fixture(scope="module")
def documents() -> dict[str, tuple[Path, list[Sections]]]:
    return {document["slug"]: (folder, revisions(document)) for folder, document in demo_documents()}


Documents = dict[str, tuple[Path, list[Sections]]]


def test_the_reading_step_finds_its_documents(documents: Documents, qualification: Qualification) -> None:
    assert set(documents) == set(qualification.step("reading").documents)
    assert {slug: len(found) for slug, (_, found) in documents.items()} == {"product-sheet": 2, "safe-work": 1}


def test_sections_are_of_a_length_for_a_phone(documents: Documents) -> None:
    for _, found in documents.values():
        for section in (one for revision in found for one in revision.values()):
            counts = {language: word_count(section["body"][language]) for language in LANGUAGES}
            assert all(115 <= count <= 250 for count in counts.values()), (section["key"], counts)


def _numbers(book: RuleBook, language: str) -> set[str]:
    """Every number of the book as the pages show it, with and without its metric twin."""
    edges = [edge for rule in book.rules for band in rule.bands for edge in (band.above, band.upto) if edge]
    limits = [part for rule in book.rules for part in (rule.value, rule.low, rule.high) if part]
    return {show(one, language, metric=metric) for one in [*edges, *limits] for metric in (False, True)}


EARLIER = {"en": show(measure("26", "day")), "es": show(measure("26", "day"), "es")}
"""The one number that the first revision of the product sheet had otherwise."""


def test_every_number_in_a_document_is_the_rule_book_s(book: RuleBook, documents: Documents) -> None:
    for slug, (_, found) in documents.items():
        for number, revision in enumerate(found, 1):
            for section in revision.values():
                for language in LANGUAGES:
                    known = _numbers(book, language) | (
                        {EARLIER[language]} if (slug, number) == ("product-sheet", 1) else set()
                    )
                    text = re.sub(r"^\d\. ", "", section["body"][language], flags=re.MULTILINE)
                    for one in sorted(known, key=len, reverse=True):
                        text = re.sub(rf"(?<![\d.,/:]){re.escape(one)}(?!\w)", "", text)
                    assert re.findall(r"\S*\d\S*", text) == [], (slug, section["key"], language)


def test_the_second_sheet_changes_one_number_and_says_so(book: RuleBook, documents: Documents) -> None:
    first, second = documents["product-sheet"][1]
    assert list(first) == list(second)
    changed = [key for key in first if first[key] != second[key]]
    assert changed == ["product"]
    for language, mark in (("en", "Changed in this revision"), ("es", "Cambio en esta revisión")):
        old, new = first["product"]["body"][language], second["product"]["body"][language]
        now = show(book.rule("opened-cylinder").value or measure("0", "day"), language)
        assert numbers_that_differ(old, new) == ["19", "26"]
        assert EARLIER[language] in old and now in new and mark in new


def test_documents_defer_to_the_product_s_sheet_the_law_and_the_doctor(documents: Documents) -> None:
    whole = {
        slug: " ".join(section["body"]["en"] for section in found[-1].values())
        for slug, (_, found) in documents.items()
    }
    for words in ("invented product", "follow the product's own sheet", "local code", "holds the licence"):
        assert words in whole["product-sheet"]
    for words in ("local code", "A doctor", "not a government licence", "isocyanates", "under pressure", "heat plan"):
        assert words in whole["safe-work"]


SVG = "{http://www.w3.org/2000/svg}"
DRAWN = {"svg", "title", "rect", "line", "path", "circle", "ellipse", "polygon", "text"}


def test_pictures_are_plain_drawings_with_a_title_and_a_description(documents: Documents) -> None:
    for folder, found in documents.values():
        for section in found[-1].values():
            root = ET.parse(folder / section["picture"]).getroot()
            assert {element.tag.removeprefix(SVG) for element in root.iter()} <= DRAWN, section["picture"]
            attributes = {name for element in root.iter() for name in element.attrib}
            assert not {name for name in attributes if name.startswith("on") or name in ("style", "class", "href")}
            assert root.findtext(f"{SVG}title")
            assert all(20 <= len(section["alt"][language]) <= 300 for language in LANGUAGES)


def test_the_drawn_ladder_leans_one_to_four(book: RuleBook, documents: Documents) -> None:
    """29 CFR 1926.1053(b)(5)(i): the foot stands out a quarter of the working length, measured here along the wall."""
    root = ET.parse(documents["safe-work"][0] / "pictures" / "ladder.svg").getroot()
    rails = [line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "7"]
    assert len(rails) == 2
    for rail in rails:
        x1, y1, x2, y2 = (float(rail.get(name, "")) for name in ("x1", "y1", "x2", "y2"))
        assert (y1 - y2) / (x2 - x1) == pytest.approx(4)


# --- the people of the demo -------------------------------------------------------------------------------------

STATES = {
    "not_started", "under_way", "waiting_for_decision", "qualified", "renewal_open", "lapsed", "suspended", "withdrawn",
}  # fmt: skip
FICTION = re.compile(r"\+130555501\d\d")  # 555-0100 to 555-0199 are kept for fiction: North American Numbering Plan


def test_the_demo_has_its_companies_crews_and_states() -> None:
    data = demo_people()
    people = data["people"]
    assert Counter(one["company"] for one in people) == {"tolvane": 24, "marrowick": 6}
    assert Counter(one["crew"] for one in people) == {"harbor": 8, "ridge": 8, "pine": 8, "marrowick": 6}
    assert {one["state"] for one in people} == STATES
    assert any(later["kind"] == "card_replaced" for one in people for later in one["later"])
    assert any((held["ends"] or 0) < 0 for held in data["authorities"])
    assert len({one["key"] for one in people}) == len({one["phone"] for one in people}) == 30


def test_phones_are_of_the_range_kept_for_fiction() -> None:
    data = demo_people()
    numbers = [one["phone"] for one in [*data["people"], *data["companies"]]]
    assert [one for one in numbers if not FICTION.fullmatch(parse_phone(one))] == []


def _steps(person: dict[str, Any]) -> list[int]:
    """The days of a person's path in the order the qualification asks for."""
    path = person["path"]
    reading = path.get("reading", {})
    days = [person["hired"], reading.get("from"), reading.get("on")]
    days += [one["on"] for name in ("quiz", "hands_on") for one in path.get(name, [])]
    days += [path.get("decision", {}).get("on"), *(one["on"] for one in person["later"] if one["kind"] != "reread")]
    return [day for day in days if day is not None]


def test_each_path_runs_forward_and_ends_before_today() -> None:
    for person in demo_people()["people"]:
        days = _steps(person)
        assert days == sorted(days) and max(days) < 0, person["key"]


def test_the_second_sheet_is_read_again_after_its_issue_by_most_but_not_all() -> None:
    data = demo_people()
    issued = next(it["effective"] for it in data["issues"]["documents"] if it["revision"] == 2)
    again = {one["key"]: it["on"] for one in data["people"] for it in one["later"] if it["kind"] == "reread"}
    assert all(issued < day < 0 for day in again.values())
    assert 0 < len(again) < sum(one["state"] == "qualified" for one in data["people"]) + 12


def test_whoever_signed_had_authority_that_day_and_never_signed_for_himself() -> None:
    data = demo_people()
    company = {one["key"]: one["company"] for one in data["people"]}
    spans = {held["person"]: (held["starts"], held["ends"]) for held in data["authorities"]}
    for person in data["people"]:
        for act in person["path"].get("hands_on", []):
            starts, ends = spans[act["evaluator"]]
            assert starts <= act["on"] and (ends is None or act["on"] <= ends), person["key"]
            assert act["evaluator"] != person["key"]
            assert company[act["evaluator"]] == person["company"]


def test_scopes_of_the_demo_exist_and_nobody_is_under_18() -> None:
    """29 CFR 570.67: eighteen for roofing work. The youngest is checked on a fixed day."""
    data = demo_people()
    known = {scope["key"] for family in starter_qualification()["families"] for scope in family["scopes"]}
    assert {scope for scopes in data["scope_sets"].values() for scope in scopes} <= known
    assert {one["scopes"] for one in data["people"] if "scopes" in one} <= set(data["scope_sets"])
    assert all(date.fromisoformat(one["born"]) <= date(2006, 1, 1) for one in data["people"])


def test_the_messy_crew_list_is_messy_in_the_ways_real_ones_are() -> None:
    with MESSY.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.reader(lines, delimiter=";"))
    assert {len(row) for row in rows} == {8}
    assert sum(not any(row) for row in rows) == 3
    assert sum(row[0] == "Apellidos" for row in rows) == 2
    assert sum("Alvarado" in row[0] or "ALVARADO" in row[0] for row in rows) == 3
