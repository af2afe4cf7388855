"""Numbers of law and standards are the published ones; the invented product's numbers are nobody else's."""

from fractions import Fraction

import pytest

from training.content import demo_rule_book
from training.domain.rules import PRACTICE, RuleBook
from training.domain.units import Measure, measure

TAS_106 = "Test Protocols for High-Velocity Hurricane Zones 2020, TAS 106"


@pytest.fixture(scope="module")
def book() -> RuleBook:
    return RuleBook.parse(demo_rule_book())


# Limits of law and standards: rule, number, unit, source. The numbers are typed from the source, not from the book.
LAW = [
    ("ladder-angle", "4", "one_to", "29 CFR 1926.1053(b)(5)(i)"),
    ("ladder-rails", "3", "ft", "29 CFR 1926.1053(b)(1)"),
    ("anchor-strength", "5000", "lbf", "29 CFR 1926.502(d)(15)"),
    ("free-fall", "6", "ft", "29 CFR 1926.502(d)(16)(iii)"),
    ("mdi-ceiling", "0.02", "ppm", "29 CFR 1910.1000, Table Z-1"),
    ("min-age", "18", "year", "29 CFR 570.67"),
    ("extinguisher", "50", "ft", "29 CFR 1926.150(c)(1)(vi)"),
    ("trade-load", "440", "lb", "49 CFR 173.6(d)"),
    ("field-check", "10", "tile", f"{TAS_106} cl. 4.1"),
    ("edge-check", "5", "tile", f"{TAS_106} cl. 4.1"),
    ("bonded-share", "97", "percent", f"{TAS_106} cl. 3.2 and 3.3"),
    ("uplift-load", "35", "lbf", f"{TAS_106} cl. 3.2 and 3.3"),
    ("first-day-heat", "20", "percent", "NIOSH Publication 2016-106"),
    # From memory, not read again for this test:
    ("lowest-slope", "2.5", "pitch", "International Building Code 2021, section 1507.3.2"),
    ("profile-low-rise", "1/2", "in", "ASTM C1492"),
    ("eye-rinse", "15", "min", "ANSI/ISEA Z358.1"),
    ("drinking-water", "1", "quart/h", "California Code of Regulations, title 8, section 3395(c)"),
    ("thunder-wait", "30", "min", "OSHA FS-3863"),
]


@pytest.mark.parametrize(("key", "number", "unit", "citation"), LAW)
def test_a_number_of_law_or_standard_is_the_published_one(
    book: RuleBook, key: str, number: str, unit: str, citation: str
) -> None:
    rule = book.rule(key)
    assert rule.value == measure(number, unit)
    assert rule.source and rule.source.kind == "law or standard"
    assert citation in rule.source.citation


# Edges of bands in law and standards: rule, the edge, who owns the edge (0: the band below it), source.
LAW_BANDS = [
    ("fall-height", "6", "ft", 1, "29 CFR 1926.501(b)(10)"),  # "6 feet or more": six feet itself is protected
    ("steep-roof", "4", "pitch", 0, "29 CFR 1926.500(b)"),  # steep is more than 4 in 12
    ("double-underlayment", "4", "pitch", 1, "International Building Code 2021, section 1507.3.3"),  # from memory
    ("salt-fasteners", "3000", "ft", 0, "FEMA P-55"),
]


@pytest.mark.parametrize(("key", "edge", "unit", "owner", "citation"), LAW_BANDS)
def test_an_edge_in_law_or_standard_is_the_published_one(
    book: RuleBook, key: str, edge: str, unit: str, owner: int, citation: str
) -> None:
    rule = book.rule(key)
    at = measure(edge, unit)
    little = Fraction(1, 100)
    assert rule.band_for(at) is rule.bands[owner]
    assert (rule.band_for(at.plus(-little)), rule.band_for(at.plus(little))) == (rule.bands[0], rule.bands[1])
    assert rule.source and citation in rule.source.citation


def test_every_limit_that_cites_a_law_is_checked_here(book: RuleBook) -> None:
    checked = {row[0] for row in LAW} | {row[0] for row in LAW_BANDS}
    cited = {rule.key for rule in book.rules if rule.source and rule.source.kind == "law or standard"}
    assert {key for key in cited if book.rule(key).operator not in PRACTICE} == checked


# What is common elsewhere: common practice, no source. The invented product must not be taken for any of it.
ELSEWHERE = {
    "wind-stop": ("20 mph", "25 mph"), "sheet-load-wait": ("24 h", "48 h"), "cylinder-limit": ("120 degF",),
    "warm-cylinder": ("24 h",), "opened-cylinder": ("30 day",), "shake-time": ("15 s", "60 s"),
    "test-pads": ("3 pad",), "tip-idle": ("15 min",), "first-foam": ("3 s", "5 s"),
    "pad-length-low": ("4 in", "6 in", "8 in"),
    "pad-width-low": ("1 1/2 in", "3 in"), "pad-height-low": ("1 in",), "pad-height-high": ("2 in",),
    "lock-setback": ("1 in",), "valley-clear": ("4 in",), "weep-spacing": ("24 in",), "headlap": ("3 in",),
    "open-time": ("2 min", "4 min"), "correction-time": ("30 s",), "walk-wait": ("4 h",), "test-wait": ("24 h", "72 h"),
    "contact-area": ("10 in2", "12 in2"), "contact-area-high": ("10 in2", "15 in2"), "ridge-lap": ("2 in",),
    "batten-drain": ("4 ft",), "adhesive-slope-limit": ("7 pitch", "12 pitch"), "fastener-depth": ("3/4 in",),
    "ignition-distance": ("25 ft", "35 ft", "50 ft"), "spill-wait": ("24 h",), "yield-check": ("10 percent",),
}  # fmt: skip


def test_the_invented_product_differs_from_what_is_common(book: RuleBook) -> None:
    same = [
        key
        for key, known in ELSEWHERE.items()
        for number in known
        if book.rule(key).value == measure(*number.rsplit(" ", 1))
    ]
    assert same == []
    use, storage = book.rule("product-temperature"), book.rule("storage-temperature")
    assert (use.low, use.high) != (measure("65", "degF"), measure("95", "degF"))
    assert (storage.low, storage.high) != (measure("40", "degF"), measure("80", "degF"))


def test_the_limits_of_the_product_fit_together(book: RuleBook) -> None:
    """Physics and good sense, no source: nobody is told to use a cylinder that is hotter than it may ever be."""

    def of(key: str, part: str = "value") -> Measure:
        found: Measure = getattr(book.rule(key), part)
        return found

    assert of("product-temperature", "high") < of("cylinder-limit") > of("storage-temperature", "high")
    assert of("open-time-hot") < of("open-time") and of("correction-time") < of("open-time-hot")
    assert of("tack-free", "high") < of("walk-wait") < of("cold-wait") < of("test-wait")
    assert of("pad-height-low") < of("pad-height-high") and of("contact-area") < of("contact-area-high")
    pad = of("pad-length-low").value * of("pad-width-low").value
    assert pad >= of("contact-area").value  # square inches: a pad as drawn can wet the area that is asked
    assert book.rule("extra-fastening").bands[-1].above == of("adhesive-slope-limit")
