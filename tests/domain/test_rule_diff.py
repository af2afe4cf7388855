"""Two revisions: every difference is named once, at its place, as grave or wording; together they make the new one."""

import copy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.domain.trade_book import TOPICS, both, number, practice, trade_book, wrong
from training.content import demo_rule_book
from training.domain.rule_diff import KEYED, Change, Subject, by_part, diff, touched_rules
from training.domain.rule_export import export_book
from training.domain.rules import RuleBook

BOOK = RuleBook.parse(trade_book())
LISTS = {Subject.TOPIC: "topics", Subject.RULE: "rules", Subject.ITEM: "checklist"}


def changed(rule: str = "cure", **how: Any) -> tuple[Change, ...]:
    """The changes when fields of one rule are set so."""
    data = trade_book()
    next(one for one in data["rules"] if one["key"] == rule).update(how)
    return diff(BOOK, RuleBook.parse(data))


def told(changes: tuple[Change, ...]) -> list[tuple[str, str, object, object, bool]]:
    return [(change.key, change.what, change.before, change.after, change.grave) for change in changes]


# --- one thing at a time ----------------------------------------------------------------------------------------


def test_the_same_book_has_no_changes() -> None:
    demo = RuleBook.parse(demo_rule_book())
    assert diff(demo, RuleBook.parse(demo_rule_book())) == diff(BOOK, BOOK) == ()


@pytest.mark.parametrize(
    ("how", "field", "before", "after", "grave"),
    [
        ({"value": "5"}, "value", "4", "5", True),
        ({"value": "4.0"}, None, None, None, None),
        ({"tolerance": "1/2"}, "tolerance", None, "0.5", True),
        ({"critical": True}, "critical", False, True, True),
        ({"operator": "max"}, "operator", "min", "max", True),
        ({"applies": {"profile": ["low"]}}, "applies", None, {"profile": ["low"]}, True),
        ({"text": both("Limit: {value}.", "Plazo: {value}.")}, "text.es", "Límite: {value}.", "Plazo: {value}.", False),
        ({"why": both("So it holds.", "Pega mejor.")}, "why.en", "It holds better.", "So it holds.", False),
        ({"goes_wrong": both("It slides.", "Se corre.")}, "goes_wrong", None, both("It slides.", "Se corre."), False),
        ({"usual": {"low": "2"}}, "usual", None, {"low": "2"}, False),
        ({"source": {"kind": "company"}}, "source", {"kind": "common practice"}, {"kind": "company"}, False),
    ],
)
def test_a_change_is_named_at_its_place(how: Any, field: Any, before: Any, after: Any, grave: Any) -> None:
    assert told(changed(**how)) == ([] if field is None else [("cure", field, before, after, grave)])


def test_another_unit_is_a_grave_change_even_for_the_same_length_of_time() -> None:
    errors = [wrong(key, value=value, unit="h") for key, value in (("a", "1"), ("b", "2"), ("c", "24"))]
    found = changed(value="240", unit="min", errors=errors)
    assert [(one.what, one.before, one.after, one.grave) for one in found[:2]] == [
        ("unit", "h", "min", True), ("value", "4", "240", True),
    ]  # fmt: skip
    assert {one.name for one in found[2:]} == {"errors"} and not any(one.grave for one in found[2:])


def test_an_end_of_a_band_is_grave() -> None:
    bands = copy.deepcopy(next(rule for rule in trade_book()["rules"] if rule["key"] == "nailing-by-slope"))["bands"]
    bands[0]["closed"] = False
    (found,) = changed(rule="nailing-by-slope", bands=bands)
    assert (found.what, found.grave) == ("bands", True)


def test_named_errors_are_told_apart() -> None:
    found = changed(errors=[wrong("b", value="2"), wrong("a", value="1.5"), wrong("d", value="20")])
    assert [(one.what, one.before is None, one.after is None, one.grave) for one in found] == [
        ("errors", False, False, False), ("errors.c", False, True, False), ("errors.a", False, False, False),
        ("errors.d", True, False, False),
    ]  # fmt: skip


def test_the_order_of_acts_is_grave_and_their_words_are_not() -> None:
    acts = copy.deepcopy(next(rule for rule in trade_book()["rules"] if rule["key"] == "kit-order"))["acts"]
    acts[0]["en"] = "Look at the hose"
    (wording,) = changed(rule="kit-order", acts=acts)
    assert (wording.what, wording.grave) == ("acts.inspect", False)
    order, _ = changed(rule="kit-order", acts=[acts[1], acts[0], *acts[2:]])
    assert (order.what, order.grave) == ("acts", True)
    (gone,) = changed(rule="kit-order", acts=[*copy.deepcopy(BOOK_ACTS[:3])])
    assert (gone.what, gone.after, gone.grave) == ("acts.purge", None, True)


BOOK_ACTS = next(rule for rule in trade_book()["rules"] if rule["key"] == "kit-order")["acts"]


def test_rules_and_acts_of_the_checklist_come_and_go() -> None:
    data = trade_book()
    data["rules"] = [rule for rule in data["rules"] if rule["key"] != "shake"]
    data["rules"].insert(2, practice("new-one", "always", "Do it.", "Leave it.", "Ask first."))
    data["checklist"][0]["weight"] = "critical"
    del data["checklist"][2]
    found = diff(BOOK, RuleBook.parse(data))
    assert [(one.subject, one.key, one.what, one.grave) for one in found] == [
        (Subject.RULE, "shake", "removed", True), (Subject.RULE, "new-one", "added", True),
        (Subject.ITEM, "E11", "removed", True), (Subject.ITEM, "E02", "weight", True),
    ]  # fmt: skip
    assert [(part.key, part.grave) for part in by_part(found)] == [(one.key, True) for one in found]
    assert touched_rules(found) == {"new-one"}


def test_the_product_and_the_titles_count_too() -> None:
    data = trade_book()
    data["product"]["name"] = "Other foam"
    data["topics"][0]["title"]["en"] = "Pads"
    found = diff(BOOK, RuleBook.parse(data))
    assert [(one.subject, one.what, one.grave) for one in found] == [
        (Subject.BOOK, "product", True), (Subject.TOPIC, "title.en", False),
    ]  # fmt: skip


# --- any two books ------------------------------------------------------------------------------------------------


def apply(book: dict[str, Any], changes: tuple[Change, ...]) -> dict[str, Any]:
    """The book with the changes made to it; written apart from the code that finds them."""
    book = copy.deepcopy(book)
    for change in changes:
        if change.subject is Subject.BOOK:
            book["product"]["name" if change.what == "product" else "kind"] = change.after
            continue
        parts = book[LISTS[change.subject]]
        if change.what == "order":
            _reorder(parts, change.after)
        elif change.what in ("added", "removed"):
            _put(parts, change.key, change.after, change.follows)
        else:
            _set(next(part for part in parts if part["key"] == change.key), change)
    return book


def _reorder(parts: list[Any], keys: Any) -> None:
    kept = iter(sorted((part for part in parts if part["key"] in keys), key=lambda part: keys.index(part["key"])))
    parts[:] = [next(kept) if part["key"] in keys else part for part in parts]


def _put(parts: list[Any], key: str, after: Any, follows: str) -> None:
    place = next((n for n, part in enumerate(parts) if part["key"] == key), None)
    if after is None:
        del parts[place]
    elif place is not None:
        parts[place] = after
    else:
        keys = [part["key"] for part in parts]
        parts.insert(keys.index(follows) + 1 if follows else 0, after)


def _set(part: dict[str, Any], change: Change) -> None:
    name, _, rest = change.what.partition(".")
    if name in KEYED:
        items = part.setdefault(name, [])
        if rest:
            _put(items, rest, change.after, change.follows)
        else:
            _reorder(items, change.after)
        if not items:
            del part[name]
    elif rest:
        part[name][rest] = change.after
    elif change.after is None:
        del part[name]
    else:
        part[name] = change.after


POOL = [
    *trade_book()["rules"][:4],
    number(
        "cure", "time", "min", "h", [wrong("b", value="2"), wrong("a", value="3"), wrong("x", value="30")], value="6"
    ),
    *trade_book()["rules"][-4:],
]
words = st.sampled_from(["It holds.", "It slides.", "Nobody knows."]).map(lambda text: both(text, f"es: {text}"))
edits = st.fixed_dictionaries(
    {},
    optional={
        "why": words,
        "goes_wrong": words,
        "critical": st.booleans(),
        "applies": st.sampled_from([{}, {"profile": ["low"]}, {"profile": ["high", "low"], "slope": ["s2"]}]),
        "source": st.sampled_from([{"kind": "company"}, {"kind": "common practice"}]),
    },
)


@st.composite
def books(draw: Any) -> RuleBook:
    """Some of the rules in any order, some of them edited, errors shuffled, items chosen."""
    rules = draw(st.lists(st.sampled_from(POOL), min_size=1, max_size=6, unique_by=lambda rule: rule["key"]))
    made = []
    for rule in copy.deepcopy(rules):
        made.append({**rule, **draw(edits), "errors": draw(st.permutations(rule["errors"]))})
    data = trade_book()
    items = [item for item in data["checklist"] if "rule" not in item]
    data["checklist"] = draw(st.lists(st.sampled_from(items), unique_by=lambda item: item["key"]))
    data["topics"] = draw(st.permutations([{"key": key, "title": draw(words)} for key in TOPICS]))
    return RuleBook.parse({**data, "rules": made})


@settings(max_examples=80, deadline=None)
@given(books(), books())
def test_the_changes_made_to_the_old_book_give_the_new_one(old, new) -> None:
    changes = diff(old, new)
    assert (changes == ()) == (export_book(old) == export_book(new))
    assert apply(export_book(old), changes) == export_book(new)
    assert {change.grave for change in changes} == {change.grave for change in diff(new, old)}


@settings(max_examples=60, deadline=None)
@given(books())
def test_no_book_differs_from_itself(book) -> None:
    assert diff(book, book) == ()
