"""A rule book leaves and comes back without loss, in the same bytes each time; schema and reader agree."""

import copy
import json
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.trade_book import number, trade_book, wrong
from training.content import demo_rule_book, rule_book_schema
from training.domain.errors import BadInput
from training.domain.rule_export import book_file, export_book
from training.domain.rule_json import BookFaults
from training.domain.rules import RuleBook
from training.domain.units import measure, number_text, stored_number

SCHEMA = jsonschema.Draft202012Validator(rule_book_schema())
DEMO = RuleBook.parse(demo_rule_book())
ASSUMED = {"need", "repeat", "weight", "scopes", "tolerance", "applies", "closed"}
"""Fields whose usual value may be written or left out."""


# --- out and back -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("book", [DEMO, RuleBook.parse(trade_book())], ids=["demo", "trade"])
def test_a_book_comes_back_as_it_went_and_in_the_same_bytes(book: RuleBook) -> None:
    text = book_file(book)
    again = RuleBook.parse(json.loads(text))
    assert again == book
    assert book_file(again) == text


def lost(given: Any, written: Any, place: str = "") -> Iterator[str]:
    """Where the file that came in and the one that goes out differ."""
    if isinstance(given, dict):
        for name in given.keys() | written.keys():
            if name in given and name in written:
                yield from lost(given[name], written[name], f"{place}.{name}")
            elif name not in ASSUMED:
                yield f"{place}.{name}"
    elif isinstance(given, list) and not place.endswith("scopes"):
        for one, other in zip(given, written, strict=True):
            yield from lost(one, other, place)
    elif given != written and not place.endswith("scopes"):
        yield f"{place}: {given} {written}"


def test_nothing_of_the_demo_file_is_lost_and_no_number_is_written_otherwise() -> None:
    assert list(lost(demo_rule_book(), export_book(DEMO))) == []


def test_a_second_book_can_be_made_from_relations() -> None:
    data = trade_book()
    data["rules"].append(
        number("soak", "time", "min", "min", [wrong("half", value={"factor": "1/2"}), wrong("mixed", like="set-time"),
               wrong("more", value={"plus": "6"}), wrong("twice", value={"factor": "2"})], value="12")
    )  # fmt: skip
    book = RuleBook.parse(data)
    assert [error.value for error in book.rule("soak").errors] == [measure(n, "min") for n in (6, 4, 18, 24)]
    assert RuleBook.parse(export_book(book)) == book
    assert SCHEMA.is_valid(export_book(book))


def test_a_relation_that_would_be_right_or_senseless_gives_no_wrong_answer() -> None:
    data = trade_book()
    same = number("cure-again", "time", "min", "h", [wrong("same", like="cure"), wrong("none", value={"plus": "-4"}),
                  wrong("below", value={"plus": "-9"}), wrong("twice", value={"factor": "2"})], value="4")  # fmt: skip
    data["rules"].append(same)
    with pytest.raises(BookFaults) as caught:
        RuleBook.parse(data)
    (fault,) = caught.value.faults
    assert (fault.place, fault.message.key) == ("rules.cure-again.errors", "book.few_errors")
    assert fault.message.values["found"] == 1


@pytest.mark.parametrize(
    ("error", "key"),
    [
        ({"value": {"factor": "1/2", "plus": "3"}}, "book.bad_relation"),
        ({"value": {"factor": "1"}}, "book.bad_relation"),
        ({"value": {}}, "book.bad_relation"),
        ({"value": {"times": "2"}}, "file.unknown_field"),
        ({"value": {"factor": "2"}, "unit": "min"}, "book.relation_has_unit"),
        ({"like": "no-such-rule"}, "book.like_unknown"),
        ({"like": "cure"}, "book.like_unknown"),
        ({"like": "tack-free"}, "book.like_other_kind"),
        ({"like": "uplift"}, "book.like_other_kind"),
    ],
)
def test_a_relation_that_leads_nowhere_is_refused(error: dict[str, Any], key: str) -> None:
    data = trade_book()
    next(rule for rule in data["rules"] if rule["key"] == "cure")["errors"].append(wrong("odd", **error))
    with pytest.raises(BookFaults) as caught:
        RuleBook.parse(data)
    assert key in {fault.message.key for fault in caught.value.faults}


@given(st.fractions(min_value=-999_999, max_value=999_999, max_denominator=9999), st.sampled_from(["in", "s", "pitch"]))
def test_a_number_is_read_back_exactly(value, unit) -> None:
    assert stored_number(number_text(value, unit)) == value


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [("0.5", "in", "1/2"), ("1.5", "in", "1 1/2"), ("1.5", "ft", "1.5"), ("2.5", "pitch", "2.5"),
     ("0.02", "ppm", "0.02"), ("1/3", "in", "1/3"), ("4/3", "s", "1 1/3"), ("-40", "degF", "-40")],
)  # fmt: skip
def test_a_number_is_written_as_the_trade_reads_it(number: str, unit: str, text: str) -> None:
    assert number_text(stored_number(number), unit) == text


# --- the schema and the reader ------------------------------------------------------------------------------------

GONE = object()
PUT = (GONE, None, 7, True, "", [], {}, "x y!", -1, ["x"], {"en": "a"})
CHOSEN = {
    "pad-width",
    "use-range",
    "standing-water",
    "kit-order",
    "nailing-by-slope",
    "product-temperature",
    "set-time",
}
BEYOND_A_SCHEMA = {
    "book.need_above_repeat",
    "book.item_rule_unknown",
    "book.band_without_end",
    "file.numbers_differ",
    "file.unknown_choice",  # a rule whose topic was taken away
}
LENIENT = {None, "", "[]", "{}"}
"""A field left empty is read as one left out; the schema asks to leave it out."""


def small_books() -> Iterator[dict[str, Any]]:
    """Books of one rule each, one of every shape, with the acts of the checklist that need no other rule."""
    book = export_book(RuleBook.parse(trade_book()))
    for rule in (rule for rule in book["rules"] if rule["key"] in CHOSEN):
        topics = [topic for topic in book["topics"] if topic["key"] == rule["topic"]]
        items = [item for item in book["checklist"] if item.get("rule") == rule["key"] or item["key"] == "E29"]
        yield {**book, "topics": topics, "rules": [rule], "checklist": items}


def small_book() -> dict[str, Any]:
    """The one about the time to set a tile, for spoiling."""
    return copy.deepcopy(next(book for book in small_books() if book["rules"][0]["key"] == "set-time"))


def places(value: Any, before: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, part in inner:
        yield (*before, name)
        yield from places(part, (*before, name))


def spoiled(book: dict[str, Any], place: tuple[Any, ...], put: object) -> dict[str, Any]:
    book = copy.deepcopy(book)
    at: Any = book
    for name in place[:-1]:
        at = at[name]
    if put is GONE:
        del at[place[-1]]
    else:
        at[place[-1]] = put
    return book


def faults(book: object) -> set[str]:
    try:
        RuleBook.parse(book)
    except BookFaults as refused:
        return {fault.message.key for fault in refused.faults}
    return set()


def test_the_schema_is_one_and_takes_the_books_we_have() -> None:
    jsonschema.Draft202012Validator.check_schema(rule_book_schema())
    assert [error.json_path for error in SCHEMA.iter_errors(demo_rule_book())] == []
    assert [error.json_path for error in SCHEMA.iter_errors(export_book(RuleBook.parse(trade_book())))] == []


@pytest.mark.parametrize("book", [*small_books()], ids=lambda book: book["rules"][0]["key"])
def test_schema_and_reader_refuse_the_same_broken_books(book: dict[str, Any]) -> None:
    assert SCHEMA.is_valid(book) and not faults(book)
    for place in places(book):
        for put in PUT:
            broken = spoiled(book, place, put)
            found, valid = faults(broken), SCHEMA.is_valid(broken)
            if valid:
                assert found <= BEYOND_A_SCHEMA, (place, put, found)
            elif not found:
                assert (put if put is None else str(put)) in LENIENT, (place, put)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda book: book["rules"][0].update(tolerance="-1"),
        lambda book: book["rules"][0].update(value="1½"),
        lambda book: book["rules"][0].update(value="1 /2"),
        lambda book: book["rules"][0]["text"].update(en="At least 3 inches."),
        lambda book: book["rules"][0].update(source={"kind": "product sheet", "revision": "2"}),
        lambda book: book["rules"][0].update(source={"kind": "law or standard"}),
        lambda book: book["rules"][0].update(colour="red"),
        lambda book: book.update(format="headlap-rule-book/2"),
        lambda book: book["product"].update(kind="three-component"),
        lambda book: book["checklist"][0].update(rule=""),
        lambda book: book["checklist"][1].update(weight="heavy"),
    ],
)
def test_both_refuse(spoil: Any) -> None:
    book = small_book()
    spoil(book)
    assert faults(book) and not SCHEMA.is_valid(book)


def test_reading_anything_that_is_json_never_crashes() -> None:
    for data in (None, 1, "x", [], [1], {"format": 1}, {"rules": [None]}, {"rules": [{"errors": [[]]}]}):
        with pytest.raises(BadInput):
            RuleBook.parse(data)
