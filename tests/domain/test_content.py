"""What ships as data is whole, the same in both languages, true to the law it cites, and invented where it says so."""

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest

from training.content import HERE, demo_rule_book, read_json, starter_qualification
from training.domain.claims import Claim, StatedLimit, StatedRange, holds
from training.domain.lint import lint
from training.domain.material import numbers_that_differ
from training.domain.papers import Blueprint, draw
from training.domain.qualification import Qualification
from training.domain.rules import PRACTICE, NamedError, Operator, Rule, RuleBook
from training.domain.text import LANGUAGES
from training.domain.units import Measure


@pytest.fixture(scope="module")
def book() -> RuleBook:
    return RuleBook.parse(demo_rule_book())


@pytest.fixture(scope="module")
def qualification() -> Qualification:
    return Qualification.parse(starter_qualification())


@pytest.fixture(scope="module")
def blueprint(qualification: Qualification) -> Blueprint:
    return Blueprint.parse(qualification.step("quiz").blueprint)


def texts(value: Any, place: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every {en, es} text in a JSON value, with its place."""
    if isinstance(value, dict):
        if {"en", "es"} & value.keys():
            yield place, value
        for name, part in value.items():
            yield from texts(part, f"{place}.{name}")
    elif isinstance(value, list):
        for number, part in enumerate(value):
            yield from texts(part, f"{place}.{number}")


def all_texts() -> list[tuple[str, dict[str, Any]]]:
    return [found for path in sorted(HERE.rglob("*.json")) for found in texts(read_json(path), path.name)]


# --- words ----------------------------------------------------------------------------------------------------


def test_every_text_is_there_in_both_languages() -> None:
    found = all_texts()
    assert len(found) > 1000
    assert [place for place, text in found if any(not str(text.get(one, "")).strip() for one in LANGUAGES)] == []


def test_both_languages_give_the_same_numbers() -> None:
    differ = {place: found for place, text in all_texts() if (found := numbers_that_differ(text["en"], text["es"]))}
    assert differ == {}


def test_no_spanish_text_uses_the_word_that_means_a_roof_slope_as_well() -> None:
    assert [place for place, text in all_texts() if "pendiente" in text["es"].casefold()] == []


def test_no_option_points_at_the_other_options() -> None:
    pointing = re.compile(r"\b(all|none) of the above|todas las anteriores|ninguna de las anteriores", re.IGNORECASE)
    assert [place for place, text in all_texts() if pointing.search(text["en"] + text["es"])] == []


def test_sentences_of_the_rule_book_are_short(book: RuleBook) -> None:
    """At most 15 words: common practice for plain words on site, no source."""
    said = [text for rule in book.rules for text in (rule.text, rule.why, rule.goes_wrong) if text]
    said += [error.name for rule in book.rules for error in rule.errors]
    sentences = [one for text in said for language in LANGUAGES for one in re.split(r"(?<=[.?!])\s", text[language])]
    assert [one for one in sentences if len(one.split()) > 15] == []


# --- the qualification ------------------------------------------------------------------------------------------


def test_the_qualification_reads_and_has_its_scopes(qualification: Qualification) -> None:
    scopes = [scope["key"] for family in starter_qualification()["families"] for scope in family["scopes"]]
    assert len(scopes) == len(set(scopes)) == 28
    assert [step.key for step in qualification.steps] == ["reading", "quiz", "hands_on"]


def test_a_higher_slope_band_covers_the_lower_ones(qualification: Qualification) -> None:
    assert not qualification.scopes.missing({"slope:s4"}, {"slope:s1", "slope:s2", "slope:s3"})
    assert qualification.scopes.missing({"slope:s3"}, {"slope:s4"})
    assert qualification.scopes.missing({"profile:high"}, {"profile:barrel"})


def test_the_blueprint_can_be_filled_three_times_over(book: RuleBook, blueprint: Blueprint) -> None:
    """A pool of at least three times the paper: common practice, no source."""
    pools = {topic: len(book.by_topic[topic]) for topic in blueprint.topics}
    assert {topic for topic, asked in blueprint.topics.items() if pools[topic] < 3 * asked} == set()
    assert sum(pools.values()) >= 3 * blueprint.questions == 60


def test_papers_come_out_as_the_blueprint_says(book: RuleBook, blueprint: Blueprint) -> None:
    for seed in range(30):
        rules = [made.rule for made in draw(blueprint, book, str(seed)).questions(book)]
        assert Counter(rule.topic for rule in rules) == Counter(blueprint.topics)
        assert sum(rule.critical for rule in rules) >= blueprint.critical_at_least == 6


# --- the rule book ----------------------------------------------------------------------------------------------


def test_the_book_is_whole(book: RuleBook) -> None:
    assert book.product == "Quendril One"
    assert len(book.rules) >= 70
    assert {rule.operator for rule in book.rules} == set(Operator)
    assert 25 <= sum(rule.critical for rule in book.rules) <= 45
    assert [rule.key for rule in book.rules if rule.unusual] == []


def test_no_question_of_the_book_has_a_fault_that_must_not_ship(book: RuleBook) -> None:
    assert [found for found in lint(book, map(str, range(4))) if found.number.startswith("E")] == []


def _claim(rule: Rule, error: NamedError) -> Claim | None:
    if error.low and error.high:
        return StatedRange(error.low, error.high)
    return StatedLimit(error.value) if error.value else None


def _numeric(book: RuleBook) -> list[tuple[Rule, list[Claim]]]:
    claims = [(rule, [_claim(rule, error) for error in rule.errors]) for rule in book.rules if rule.numeric]
    return [(rule, [claim for claim in found if claim]) for rule, found in claims]


def test_the_rule_itself_calls_every_wrong_number_wrong(book: RuleBook) -> None:
    for rule, claims in _numeric(book):
        assert len(claims) >= 3, rule.key
        assert [claim for claim in claims if holds(rule, claim)] == [], rule.key


def _pairs(rule: Rule, claim: Claim) -> list[tuple[Measure | None, Measure | None]]:
    if isinstance(claim, StatedRange):
        return [(claim.low, rule.low), (claim.high, rule.high)]
    assert isinstance(claim, StatedLimit)
    return [(claim.stated, rule.value)]


def test_wrong_numbers_are_near_misses(book: RuleBook) -> None:
    """Between a third and three times the true value, as the item rules ask."""
    for rule, claims in _numeric(book):
        for said, true in (pair for claim in claims for pair in _pairs(rule, claim)):
            assert said and true
            assert Fraction(1, 3) <= said.value / true.value <= 3, (rule.key, said)


def test_wrong_numbers_lie_on_both_sides_or_beyond(book: RuleBook) -> None:
    """An option that is always the highest would give itself away."""
    for rule, claims in _numeric(book):
        if rule.operator in (Operator.MIN, Operator.MAX):
            stated = [claim.stated for claim in claims if isinstance(claim, StatedLimit)]
            judged = Counter(rule.judge(one).ok for one in stated)
            assert judged[False] >= 2 and judged[True] >= 1, rule.key
        for claim in claims:
            if isinstance(claim, StatedRange) and rule.low and rule.high:
                assert claim.low < rule.low or claim.high > rule.high, rule.key


def test_the_right_practice_is_not_told_by_its_length(book: RuleBook) -> None:
    for rule in (one for one in book.rules if one.operator in PRACTICE):
        assert rule.right
        for language in LANGUAGES:
            others = [len(error.text[language]) for error in rule.errors if error.text]
            assert 0.6 * min(others) <= len(rule.right[language]) <= 1.25 * max(others), (rule.key, language)


def test_every_source_says_where_to_look(book: RuleBook) -> None:
    for rule in book.rules:
        assert rule.source
        if rule.source.kind == "product sheet":
            assert (rule.source.revision, int(rule.source.page) in range(1, 7)) == ("2", True), rule.key
        if rule.source.kind == "law or standard":
            assert re.search(r"\d", rule.source.citation), rule.key
