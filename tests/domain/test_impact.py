"""What rests on a change is found and counted; what the officer chooses becomes demands and nothing else does."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from tests.domain.trade_book import both, trade_book
from training.domain.demands import What, demands_of
from training.domain.errors import BadInput
from training.domain.impact import (
    Choice,
    DocumentFact,
    Facts,
    Impact,
    SignOffFact,
    SittingFact,
    demands,
    grave_first,
    impact,
    names,
)
from training.domain.register import Entry, EntryKind
from training.domain.rules import RuleBook

OLD = RuleBook.parse(trade_book())
TITLE = {"en": "Sheet", "es": "Hoja"}


def changed(**edits: dict[str, Any]) -> RuleBook:
    """The book with some rules edited, by key (dashes as underscores)."""
    data = trade_book()
    for rule in data["rules"]:
        rule.update(edits.get(rule["key"].replace("-", "_"), {}))
    return RuleBook.parse(data)


NEW = changed(
    set_time={"value": "3"},
    dust={"why": both("Foam needs a clean face.", "Pide cara limpia.")},
    product_temperature={"value": "65"},
)


def found(facts: Facts = Facts(), new: RuleBook = NEW) -> dict[str, Impact]:  # noqa: B008
    return {it.name: it for it in impact(OLD, new, facts)}


# --- what rests on it -------------------------------------------------------------------------------------------------


def test_each_changed_rule_is_one_line_with_its_questions_and_its_acts() -> None:
    lines = found()
    assert list(lines) == ["rule:set-time", "rule:product-temperature", "rule:dust"]
    assert lines["rule:set-time"].rests.items == ("E22",)
    assert "choose-value" in lines["rule:set-time"].rests.patterns
    assert [it.changed.key for it in grave_first(lines.values())] == ["set-time", "product-temperature", "dust"]


def test_sittings_and_sign_offs_count_where_they_asked_or_judged_the_rule() -> None:
    facts = Facts(
        sittings=[SittingFact(1, frozenset({"set-time", "dust"})), SittingFact(2, frozenset({"cure"}))],
        sign_offs=[SignOffFact(3, frozenset({"E22"})), SignOffFact(4, frozenset({"E02"}))],
        holders=frozenset({1, 2, 4}),
        carded=frozenset({1, 3}),
    )
    rests = found(facts)["rule:set-time"].rests
    assert (rests.sittings, rests.sign_offs, rests.people, rests.cards) == (1, 1, {1}, 1)
    assert found(facts)["rule:dust"].rests.people == {1}
    assert found(facts)["rule:product-temperature"].rests.people == frozenset()


@pytest.mark.parametrize(
    ("text", "stands"),
    [
        ("Set the tile within 4 min of laying it.", True),
        ("Set the tile within 4 min of laying it.", True),
        ("Wait 14 min.", False),
        ("Ratio 1:4 min.", False),
        ("Set it soon.", False),
    ],
)
def test_a_document_rests_on_a_rule_when_it_gives_its_number(text: str, stands: bool) -> None:
    document = DocumentFact("product-sheet", TITLE, {"en": text, "es": "Nada."})
    assert bool(found(Facts(documents=[document]))["rule:set-time"].rests.documents) is stands
    assert names(OLD.rule("set-time"), text, "en") is stands


def test_a_range_is_named_only_with_both_its_ends() -> None:
    rule = OLD.rule("use-range")
    assert names(rule, "Keep it from 65 °F to 95 °F.", "en")
    assert not names(rule, "At least 65 °F.", "en")
    assert not names(OLD.rule("dust"), "Sweep before you set.", "en")


def test_another_product_touches_every_document_that_names_the_old_one() -> None:
    data = trade_book()
    data["product"]["name"] = "Other foam"
    sheet = DocumentFact("sheet", TITLE, {"en": "How to use test foam.", "es": "Uso."})
    line = found(Facts(documents=[sheet]), RuleBook.parse(data))["book:"]
    assert line.rests.documents == (sheet,) and line.choices == (What.REREAD, What.FULL)


# --- what may be asked ------------------------------------------------------------------------------------------------


def test_grave_changes_propose_a_short_quiz_and_wording_proposes_nothing() -> None:
    lines = found()
    assert lines["rule:set-time"].proposed is What.QUIZ
    assert lines["rule:dust"].proposed is None
    assert lines["rule:dust"].choices == (What.REREAD, What.QUIZ, What.FULL)


def test_nothing_is_quizzed_that_is_gone_and_titles_ask_for_nothing() -> None:
    data = trade_book()
    data["rules"] = [rule for rule in data["rules"] if rule["key"] != "shake"]
    data["topics"][0]["title"]["en"] = "Pads"
    lines = found(new=RuleBook.parse(data))
    assert (lines["rule:shake"].choices, lines["rule:shake"].proposed) == ((What.REREAD, What.FULL), None)
    assert lines["topic:pad"].choices == ()


def test_a_changed_act_asks_about_the_rule_it_is_held_against() -> None:
    data = trade_book()
    data["checklist"][1]["weight"] = "stop"
    data["checklist"][2]["least"] = 2
    lines = found(new=RuleBook.parse(data))
    assert lines["item:E08"].proposed is What.QUIZ and "item:E11" in lines
    assert lines["item:E11"].choices == (What.REREAD, What.FULL) and lines["item:E11"].proposed is What.REREAD


# --- what is asked ----------------------------------------------------------------------------------------------------

DAY = date(2026, 3, 1)


def asked(chosen: dict[str, What | None], documents: tuple[str, ...] = (), due: date = date(2026, 3, 31)):
    lines = found()
    choices = [Choice(lines[name].changed, what) for name, what in chosen.items()]
    return demands(choices, documents, since=DAY, effective_on=date(2026, 3, 10), due_on=due)


def test_changes_of_one_kind_become_one_demand() -> None:
    made = asked({"rule:set-time": What.QUIZ, "rule:product-temperature": What.QUIZ, "rule:dust": What.REREAD},
                 ("safe-work",))  # fmt: skip
    assert [(it["what"], it["rules"], it["documents"], it["due_on"]) for it in made] == [
        ("reread", ["dust"], ["safe-work"], "2026-03-31"),
        ("quiz", ["set-time", "product-temperature"], [], "2026-03-31"),
    ]
    assert asked({"rule:set-time": None}) == []


def test_the_last_day_is_not_before_the_revision_counts() -> None:
    with pytest.raises(BadInput) as caught:
        asked({"rule:set-time": What.QUIZ}, due=date(2026, 3, 9))
    assert (caught.value.message.key, caught.value.field) == ("impact.due_too_early", "due_on")
    assert asked({"rule:set-time": What.QUIZ}, due=date(2026, 3, 10))


def test_an_entry_says_what_was_asked() -> None:
    data = {"book": "q", "revision": 2, "demands": asked({"rule:set-time": What.FULL})}
    moment = datetime(2026, 3, 1, 12, tzinfo=UTC)
    (demand,) = demands_of(Entry(7, EntryKind.REVISION_REQUIRED, None, DAY, moment, data))
    assert (demand.entry, demand.book, demand.revision, demand.what, demand.rules) == (
        7,
        "q",
        2,
        What.FULL,
        ("set-time",),
    )
