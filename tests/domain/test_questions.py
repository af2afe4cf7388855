"""Questions: pure functions of (pattern, rule, seed); the key stays inside; typed answers are right in any unit."""

import dataclasses

import pytest

from tests.domain.trade_book import trade_book
from training.domain.answers import accept_answer, error_name, is_right
from training.domain.errors import BadInput, NotFound, Refused
from training.domain.patterns import PATTERNS
from training.domain.questions import Question, patterns_for, question
from training.domain.rules import RuleBook
from training.domain.text import LANGUAGES

BOOK = RuleBook.parse(trade_book())


def asked(rule: str, pattern: str, seed: str = "1") -> Question:
    return question(BOOK.rule(rule), pattern, seed)


def every_question(seeds: int) -> list[Question]:
    return [
        question(rule, pattern, str(seed), BOOK)
        for rule in BOOK.rules
        for pattern in patterns_for(rule, BOOK)
        for seed in range(seeds)
    ]


def test_every_pattern_is_used_by_some_rule() -> None:
    assert {pattern for rule in BOOK.rules for pattern in patterns_for(rule, BOOK)} == set(PATTERNS)


def test_the_same_seed_makes_the_same_question_in_a_book_read_again() -> None:
    again = RuleBook.parse(trade_book())
    for made in every_question(5):
        assert question(again.rule(made.rule.key), made.pattern, made.seed, again) == made


def test_a_sitting_of_today_can_be_shown_in_years() -> None:
    """Pinned: what a pattern makes for a seed must not change while its key stays the same."""
    pinned = [
        ("product-temperature", "choose-value"), ("use-range", "judge-reading"), ("nailing-by-slope", "choose-band"),
        ("valve", "choose-practice"), ("kit-order", "put-in-order"), ("use-range", "type-value"),
    ]  # fmt: skip
    made = [asked(rule, pattern, "pinned") for rule, pattern in pinned]
    assert [(each.right, each.value.replace("\u00a0", " ")) for each in made] == PINNED


def test_options_have_the_same_letters_in_every_language() -> None:
    for made in every_question(5):
        letters = [[option.letter for option in made.public(language).options] for language in LANGUAGES]
        assert letters[0] == letters[1]


def test_the_public_question_holds_no_key_and_no_error_name() -> None:
    for made in every_question(3):
        for language in LANGUAGES:
            public = made.public(language)
            assert {field.name for field in dataclasses.fields(public)} == {
                "answer", "language", "stem", "options", "example", "figure",
            }  # fmt: skip
            assert all({f.name for f in dataclasses.fields(o)} == {"letter", "text", "figure"} for o in public.options)
            shown = repr(public)
            for option in made.options:
                assert option.error_name is None or option.error_name[language] not in shown


def test_choice_questions_have_one_right_option_and_names_for_the_others() -> None:
    for made in every_question(20):
        if made.answer == "one":
            assert [option.right for option in made.options].count(True) == 1
            assert all(option.right or option.error_name for option in made.options)
            assert 2 <= len(made.options) <= 4


def test_number_options_are_sorted() -> None:
    for seed in range(30):
        texts = [o.text.en for o in asked("cure", "choose-value", str(seed)).options]
        assert texts == sorted(texts, key=lambda text: int(text.split("\u00a0")[0]))


def test_an_order_question_never_shows_the_right_order() -> None:
    for seed in range(200):
        made = asked("kit-order", "put-in-order", str(seed))
        assert made.right != ",".join(option.letter for option in made.options)


def test_a_band_question_asks_on_an_edge_only_where_the_edge_is_the_point() -> None:
    edges = [made for seed in range(200) if (made := asked("nailing-by-slope", "choose-band", str(seed))).on_edge]
    assert 10 < len(edges) < 80
    assert {made.value for made in edges} == {"6:12", "7:12"}
    for made in edges:  # common practice, no source: 6:12 exactly needs none, 7:12 exactly is the middle band
        right = made.option(made.right)
        assert right is not None
        wanted = {"6:12": "No extra nails.", "7:12": "Nail every third tile in every fifth course."}
        assert right.text.en == wanted[made.value]


def test_an_unknown_pattern_or_one_that_does_not_fit_is_refused() -> None:
    with pytest.raises(NotFound):
        asked("cure", "sing-a-song")
    with pytest.raises(Refused):
        asked("dust", "type-value")


@pytest.mark.parametrize(
    ("rule", "typed", "right"),
    [
        ("product-temperature", "70 F", True),
        ("product-temperature", "70", True), ("product-temperature", "70°", True),
        # 70 F is 21.1 C (NIST SP 811 B.8): right when only its rounding differs, in whichever unit it is known.
        ("product-temperature", "21 °C", True), ("product-temperature", "21.1 C", True),
        ("product-temperature", "20 C", False),
        ("product-temperature", "70 C", False), ("product-temperature", "69", False),
        ("pad-width", '1 1/2"', True), ("pad-width", "1.5 in", True),
        ("pad-width", "38 mm", True), ("pad-width", "3.8 cm", True),
        ("pad-width", "38.1 mm", True), ("pad-width", "0.1 m", False),
        ("pad-width", "40 mm", False), ("pad-width", "1 in", False),
        ("set-time", "4", True), ("set-time", "240 s", True), ("set-time", "4 h", False), ("set-time", "0 min", False),
        ("steep-roof", "4/12", True), ("steep-roof", "18.4 deg", True),
        ("steep-roof", "33.3 %", True), ("steep-roof", "6:12", False),
    ],
)  # fmt: skip
def test_a_typed_answer_is_right_in_any_unit(rule: str, typed: str, right: bool) -> None:
    made = asked(rule, "type-value")
    assert is_right(made, accept_answer(made, typed)) is right


def test_a_typed_answer_means_the_same_after_the_language_changes() -> None:
    made = asked("pad-width", "type-value")
    assert accept_answer(made, "1,5 pulg", "es") == accept_answer(made, "1.5 in", "en") == "3/2 in"


def test_a_range_asks_for_one_of_its_limits() -> None:
    parts = {
        asked("use-range", "type-value", str(seed)).part: asked("use-range", "type-value", str(seed))
        for seed in range(20)
    }
    assert set(parts) == {"low", "high"}
    assert is_right(parts["low"], "65 degF") and not is_right(parts["low"], "95 degF")
    assert is_right(parts["high"], "95 degF") and not is_right(parts["high"], "65 degF")


@pytest.mark.parametrize(
    ("rule", "pattern", "sent", "key"),
    [
        ("cure", "choose-value", "z", "question.no_such_option"),
        ("cure", "choose-value", "a,b", "question.no_such_option"),
        ("kit-order", "put-in-order", "a,b", "question.each_once"),
        ("kit-order", "put-in-order", "a,a,b,c", "question.each_once"),
        ("cure", "type-value", "soon", "units.not_a_number"), ("cure", "type-value", "4 in", "units.wrong_kind"),
    ],
)  # fmt: skip
def test_a_sent_answer_that_is_none_is_refused(rule: str, pattern: str, sent: str, key: str) -> None:
    with pytest.raises(BadInput) as refusal:
        accept_answer(asked(rule, pattern), sent)
    assert refusal.value.message.key == key


def test_an_empty_answer_is_kept_as_not_answered() -> None:
    for made in every_question(1):
        assert accept_answer(made, "  ") == ""
        assert not is_right(made, "")
        assert made.said("") is None
        assert error_name(made, "") is None


def test_the_right_answer_is_right_and_can_be_said() -> None:
    for made in every_question(5):
        assert is_right(made, made.right)
        assert made.said(made.right) is not None


def test_a_wrong_answer_is_named() -> None:
    typed = asked("product-temperature", "type-value")
    assert (error_name(typed, "50 degF") or {}).get("en") == "Mix up air."
    assert (error_name(typed, "70 degC") or {}).get("en") == "The number is right but the unit is not."
    assert error_name(typed, "63 degF") is None
    order = asked("kit-order", "put-in-order")
    wrong = ",".join(reversed(order.right.split(",")))
    assert (error_name(order, wrong) or {}).get("en") == "“Open the valve” comes before “Purge the line”."
    assert not is_right(order, wrong)


PINNED = [
    ("c", "70 °F"),
    ("b", "90 °F"),
    ("a", "6 1/2:12"),
    ("d", "+mix-a+mix-b+mix-c"),
    ("d,c,a,b", "open,purge,attach,inspect"),
    ("65 degF", "65 °F"),
]
