"""Rules judge readings; a rule book with a fault is refused with the place and the remedy."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.domain.trade_book import RULES, trade_book
from training.domain.errors import NotFound
from training.domain.rule_json import BookFaults, join_books
from training.domain.rules import RuleBook, Side
from training.domain.units import measure


@pytest.fixture(scope="module")
def book() -> RuleBook:
    return RuleBook.parse(trade_book())


@pytest.mark.parametrize(
    ("rule", "number", "unit", "side"),
    [
        # Facts of the trade: common practice, no source.
        ("product-temperature", "70", "degF", Side.INSIDE),
        ("product-temperature", "69.9", "degF", Side.LOW),
        ("product-temperature", "25", "degC", Side.INSIDE),
        ("product-temperature", "20", "degC", Side.LOW),
        ("set-time", "4", "min", Side.INSIDE),
        ("set-time", "241", "s", Side.HIGH),
        ("tack-free", "5", "min", Side.INSIDE),
        ("tack-free", "4", "min", Side.LOW),
        ("tack-free", "16", "min", Side.HIGH),
        ("pad-width", "1 1/2", "in", Side.INSIDE),
        ("pad-width", "1 3/8", "in", Side.LOW),
        ("pad-width", "38.1", "mm", Side.INSIDE),
        # A pad of 2 x 4 7/8 in covers 9.75 sq in: just short of 10 (common practice, no source).
        ("contact-area", "9.75", "in2", Side.LOW),
        ("contact-area", "10", "in2", Side.INSIDE),
        # Florida Building Code, TAS 106 cl. 3.2 (2020): at least 35 lbf.
        ("uplift", "35", "lbf", Side.INSIDE),
        ("uplift", "155", "N", Side.LOW),
        # 29 CFR 1926.500(b): steep is more than 4 in 12, so 4:12 itself is low slope.
        ("steep-roof", "4", "pitch", Side.INSIDE),
        ("steep-roof", "4.01", "pitch", Side.HIGH),
    ],
)
def test_a_reading_is_judged_against_its_limit(book: RuleBook, rule: str, number: str, unit: str, side: Side) -> None:
    judgement = book.rule(rule).judge(measure(number, unit))
    assert judgement.side is side
    assert judgement.ok is (side is Side.INSIDE)


@pytest.mark.parametrize(
    ("slope", "band"),
    # Above 6:12 up to and including 7:12 the middle band; common practice, no source.
    [("1.9", None), ("2", 0), ("6", 0), ("6.01", 1), ("7", 1), ("7.01", 2), ("24", 2)],
)
def test_an_edge_belongs_to_the_band_that_includes_it(book: RuleBook, slope: str, band: int | None) -> None:
    rule = book.rule("nailing-by-slope")
    found = rule.band_for(measure(slope, "pitch"))
    assert found == (None if band is None else rule.bands[band])


def test_tolerance_widens_both_sides_in_the_rules_own_unit() -> None:
    data = trade_book()
    _rule(data, "pad-width")["tolerance"] = "1/8"
    rule = RuleBook.parse(data).rule("pad-width")
    assert [rule.judge(measure(n, "in")).ok for n in ("1 5/16", "1 3/8", "1 5/8", "1 11/16")] == [
        False,
        True,
        True,
        False,
    ]


def test_a_sentence_takes_its_numbers_from_the_rule_in_both_languages(book: RuleBook) -> None:
    said = book.rule("use-range").say(metric=True)
    assert said.en.replace("\u00a0", " ") == "Limit: 65 °F (18 °C), 95 °F (35 °C)."
    assert said.es.replace("\u00a0", " ") == "Límite: 65 °F (18 °C), 95 °F (35 °C)."


def test_the_message_names_reading_limit_and_quantity(book: RuleBook) -> None:
    message = book.rule("product-temperature").judge(measure(60, "degF")).message
    assert message.key == "judge.too_low"
    assert message.values["reading"] == measure(60, "degF")
    assert str(message.values["limit"]["en"]).replace("\u00a0", " ") == "at least 70 °F"  # type: ignore[index]


def test_a_rule_applies_where_every_family_it_names_is_met() -> None:
    data = trade_book()
    _rule(data, "dust")["applies"] = {"profile": ["low", "medium"], "slope": ["s3"]}
    rule = RuleBook.parse(data).rule("dust")
    assert rule.applies_to({"profile:low", "slope:s3", "detail:hip"})
    assert not rule.applies_to({"profile:low"})
    assert not rule.applies_to({"profile:high", "slope:s3"})


def test_a_value_outside_the_usual_range_is_noticed() -> None:
    data = trade_book()
    _rule(data, "air-temperature")["usual"] = {"low": "32", "high": "45"}
    assert RuleBook.parse(data).rule("air-temperature").unusual


def test_an_unknown_rule_is_not_found(book: RuleBook) -> None:
    with pytest.raises(NotFound):
        book.rule("no-such-rule")


def test_a_rule_without_number_judges_nothing(book: RuleBook) -> None:
    with pytest.raises(ValueError, match="dust"):
        book.rule("dust").judge(measure(1, "in"))


def test_a_draft_may_lack_values_and_sources() -> None:
    data = trade_book()
    rule = _rule(data, "cure")
    del rule["value"], rule["source"], rule["errors"]
    assert RuleBook.parse(data, draft=True).rule("cure").value is None


def test_a_book_in_parts_is_joined() -> None:
    whole = trade_book()
    rules = whole["rules"]
    assert isinstance(rules, list)
    parts = [{**whole, "rules": rules[:5]}, {"rules": rules[5:]}]
    assert RuleBook.parse(join_books(parts)).rules == RuleBook.parse(whole).rules


# --- faults -----------------------------------------------------------------------------------------------------


def _rule(data: Any, key: str) -> dict[str, Any]:
    return next(rule for rule in data["rules"] if rule["key"] == key)  # type: ignore[no-any-return]


def _change(key: str, /, **values: Any) -> Callable[[Any], None]:
    return lambda data: _rule(data, key).update(values)


def _item(place: int, **values: Any) -> Callable[[Any], None]:
    return lambda data: data["checklist"][place].update(values)


def _band(place: int, **values: Any) -> Callable[[Any], None]:
    return lambda data: _rule(data, "nailing-by-slope")["bands"][place].update(values)


FAULTS = [
    (lambda data: data["rules"].append(data["rules"][0]), "rules.pad-width", "file.key_twice"),
    (_change("cure", why={"en": "So."}), "rules.cure.why.es", "file.missing_language"),
    (_change("cure", why={"en": "Wait 4 hours.", "es": "Espere."}), "rules.cure.why.en", "file.number_in_sentence"),
    (_change("cure", why={"en": "Use ½ less.", "es": "Use menos."}), "rules.cure.why.en", "file.number_in_sentence"),
    (_change("cure", text={"en": "{value}", "es": "Sí"}), "rules.cure.text.es", "file.numbers_differ"),
    (_change("cure", text={"en": "{low}", "es": "{low}"}), "rules.cure.text.en", "file.unknown_part"),
    (_change("cure", text={"en": "{value", "es": "{value"}), "rules.cure.text.en", "file.bad_braces"),
    (_change("cure", text={"en": "{value:{value}}", "es": "{value:{value}}"}), "rules.cure.text.en", "file.bad_braces"),
    (_change("cure", text={"en": "{value!r}", "es": "{value!r}"}), "rules.cure.text.en", "file.bad_braces"),
    (_change("cure", why={"en": "{value:>99}", "es": "{value:>99}"}), "rules.cure.why.en", "file.bad_braces"),
    (lambda data: data["product"].update(name="x" * 81), "product.name", "file.too_long"),
    (_change("cure", unit="furlong"), "rules.cure.unit", "file.unknown_unit"),
    (_change("cure", value="four"), "rules.cure.value", "file.not_a_number"),
    (_change("cure", value=4), "rules.cure.value", "file.not_a_number"),
    (_change("cure", value="-4"), "rules.cure.value", "file.impossible"),
    (_change("bonded", value="140"), "rules.bonded.value", "file.impossible"),
    (_change("cure", value=""), "rules.cure.value", "book.no_value"),
    (_change("cure", source=None), "rules.cure.source", "book.no_source"),
    (_change("cure", source={"kind": "law or standard"}), "rules.cure.source.citation", "book.no_citation"),
    (_change("cure", source={"kind": "product sheet"}), "rules.cure.source.page", "book.no_page"),
    (_change("cure", source={"kind": "hearsay"}), "rules.cure.source.kind", "file.unknown_choice"),
    (_change("cure", errors=[]), "rules.cure.errors", "book.few_errors"),
    (_change("dust", errors=[]), "rules.dust.errors", "book.few_errors"),
    (_change("dust", right=None), "rules.dust.right", "book.no_right"),
    (_change("cure", topic="cooking"), "rules.cure.topic", "file.unknown_choice"),
    (_change("cure", operator="about"), "rules.cure.operator", "file.unknown_choice"),
    (_change("cure", tolerence="1"), "rules.cure.tolerence", "file.unknown_field"),
    (_change("cure", tolerance="-1"), "rules.cure.tolerance", "book.tolerance_negative"),
    (_change("cure", critical="yes"), "rules.cure.critical", "file.not_yes_no"),
    (_change("cure", key="bad key"), "rules.bad key.key", "file.bad_key"),
    (_change("use-range", low="95", high="65"), "rules.use-range.low", "book.low_above_high"),
    (lambda data: _rule(data, "cure")["errors"][0].update(value="4"), "rules.cure.errors.a", "book.error_is_right"),
    (lambda data: _rule(data, "cure")["errors"][0].update(unit="in"), "rules.cure.errors.a", "book.error_other_kind"),
    (lambda data: _rule(data, "kit-order")["acts"].clear(), "rules.kit-order.acts", "book.few_acts"),
    (_band(0, upto="8"), "rules.nailing-by-slope.bands.2.upto", "book.bands_out_of_order"),
    (_band(0, upto="7"), "rules.nailing-by-slope.bands.2.upto", "book.bands_out_of_order"),
    (_band(0, upto=None), "rules.nailing-by-slope.bands.1.upto", "book.band_without_end"),
    (_band(1, **{"from": "5"}), "rules.nailing-by-slope.bands.2.from", "book.bands_overlap"),
    (_band(1, **{"from": "6", "from_closed": True}), "rules.nailing-by-slope.bands.2.from", "book.bands_overlap"),
    (_band(1, **{"from": "6.5"}), "rules.nailing-by-slope.bands.2.from", "book.bands_gap"),
    (_band(2, text=None), "rules.nailing-by-slope.bands.3", "book.band_empty"),
    (_change("nailing-by-slope", bands=[]), "rules.nailing-by-slope.bands", "book.few_bands"),
    (_change("nailing-by-slope", by="mph"), "rules.nailing-by-slope.by_quantity", "book.no_by_quantity"),
    (_change("cure", confused_with=["moon"]), "rules.cure.confused_with", "book.confused_unknown"),
    (_change("cure", confused_with=["cure"]), "rules.cure.confused_with", "book.confused_unknown"),
    (_change("cure", confused_with=["pad-width"]), "rules.cure.confused_with", "book.confused_other_kind"),
    (_change("cure", confused_with=["set-time"]), "rules.cure.confused_with", "book.confused_other_kind"),
    (_change("dust", confused_with=["cure"]), "rules.dust.confused_with", "book.confused_other_kind"),
    (_change("cure", confused_with="dispenser"), "rules.cure.confused_with", "file.not_a_list"),
    (_change("cure", calculation="area"), "rules.cure.calculation", "book.calculation_does_not_fit"),
    (_change("cure", calculation="magic"), "rules.cure.calculation", "file.unknown_choice"),
    (_change("cure", drawing={"kind": "lap"}), "rules.cure.drawing.kind", "book.drawing_does_not_fit"),
    (_change("cure", drawing={"kind": "poem"}), "rules.cure.drawing.kind", "file.unknown_choice"),
    (_change("dust", drawing={"kind": "pad_place"}), "rules.dust.drawing.places", "book.drawing_places"),
    (
        _change("dust", drawing={"kind": "pad_place", "places": {"right": "pan", "mix-a": "lock", "mix-b": "lock"}}),
        "rules.dust.drawing.places",
        "book.drawing_places",
    ),
    (
        _change("dust", drawing={"kind": "pad_place", "places": {"right": "pan", "who": "lock", "mix-b": "crown"}}),
        "rules.dust.drawing.places.who",
        "book.drawing_place_unknown",
    ),
    (lambda data: data.update(format="other/2"), "format", "file.unknown_choice"),
    (lambda data: data.update(rules=[]), "rules", "book.no_rules"),
    (lambda data: data.update(rules={}), "rules", "file.not_a_list"),
    (lambda data: data["rules"].append("rule"), f"rules.{len(RULES) + 1}", "file.not_an_object"),
    (_item(1, rule="nothing"), "checklist.E08.rule", "book.item_rule_unknown"),
    (_item(1, rule="dust"), "checklist.E08.rule", "book.item_needs_limit"),
    (_item(1, rule=""), "checklist.E08.rule", "book.item_needs_limit"),
    (_item(1, need=3), "checklist.E08.need", "book.need_above_repeat"),
    (_item(1, repeat=0), "checklist.E08.repeat", "file.not_whole"),
]


@pytest.mark.parametrize(("spoil", "place", "key"), FAULTS, ids=[f"{place}-{key}" for _, place, key in FAULTS])
def test_a_faulty_book_names_the_place_and_the_fault(spoil: Callable[[Any], None], place: str, key: str) -> None:
    data = trade_book()
    spoil(data)
    with pytest.raises(BookFaults) as refusal:
        RuleBook.parse(data)
    assert (place, key) in [(fault.place, fault.message.key) for fault in refusal.value.faults]


@pytest.mark.parametrize("data", [None, [], "book", 7, {}, {"rules": None}])
def test_anything_that_is_no_book_is_refused(data: object) -> None:
    with pytest.raises(BookFaults):
        RuleBook.parse(data)
