"""Papers are drawn exactly to their blueprint, or refused with what is short."""

import json
from collections import Counter
from itertools import combinations, product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.domain.trade_book import BLUEPRINT, number, trade_book, wrong
from training.content import demo_rule_book, starter_qualification
from training.domain.errors import Refused
from training.domain.json_reading import FileFaults
from training.domain.lint_papers import lint_paper
from training.domain.papers import Blueprint, Paper, Seen, draw
from training.domain.patterns import PATTERNS
from training.domain.qualification import Qualification, StepKind
from training.domain.rules import RuleBook
from training.domain.seats import Demand, Seat, fill_seats

BOOK = RuleBook.parse(trade_book())
PRINT = Blueprint.parse(BLUEPRINT)


def pool(size: int) -> RuleBook:
    """A book of one topic with that many rules."""
    data = trade_book()
    errors = [wrong("a", value="1"), wrong("b", value="9"), wrong("c", value="12")]
    keys = [f"rule-{first}{second}" for first in "abcdefghij" for second in "abcdefghij"][:size]
    data["rules"] = [number(key, "pad", "min", "in", errors, value="4") for key in keys]
    data["checklist"] = []
    return RuleBook.parse(data)


@pytest.mark.parametrize("seed", range(40))
def test_a_paper_holds_what_the_blueprint_asks(seed: int) -> None:
    made = draw(PRINT, BOOK, str(seed)).questions(BOOK)
    assert Counter(each.topic for each in made) == Counter(PRINT.topics)
    assert sum(each.critical for each in made) >= PRINT.critical_at_least
    assert len({each.rule.key for each in made}) == len(made)
    assert sum(len(each.options) == 2 for each in made) <= len(made) / 5
    assert not list(lint_paper(made))


def test_the_same_seed_draws_the_same_paper() -> None:
    assert draw(PRINT, BOOK, "s") == draw(PRINT, RuleBook.parse(trade_book()), "s")
    assert draw(PRINT, BOOK, "s") != draw(PRINT, BOOK, "t")


def test_a_paper_comes_back_from_json_and_asks_the_same() -> None:
    paper = draw(PRINT, BOOK, "s")
    again = Paper.from_json(json.loads(json.dumps(paper.to_json())))
    assert again == paper
    assert again.questions(BOOK) == paper.questions(BOOK)


@pytest.mark.parametrize("data", [None, [], {}, {"format": "headlap-paper/1", "seed": "s", "items": [["a", "b"]]}])
def test_what_is_no_paper_is_refused(data: object) -> None:
    with pytest.raises(FileFaults):
        Paper.from_json(data)


def test_key_letters_are_spread_over_many_papers() -> None:
    letters = Counter(
        each.right
        for seed in range(60)
        for each in draw(PRINT, BOOK, f"k{seed}").questions(BOOK)
        if each.answer == "one"
    )
    shares = [letters[letter] / letters.total() for letter in "abc"]
    assert all(0.2 < share < 0.45 for share in shares)


def test_the_place_of_the_right_option_cannot_be_guessed() -> None:
    """On the book of the demo: how often the best letter to bet on is right, by pattern and number of options.

    Pure chance would be 1/2, 1/3 and 1/4. Ordered values come with what is known of their errors, so a little above.
    """
    book = RuleBook.parse(demo_rule_book())
    step = Qualification.parse(starter_qualification()).first_of(StepKind.QUIZ)
    assert step is not None
    blueprint = Blueprint.parse(step.blueprint)
    right: dict[tuple[str, int], Counter[str]] = {}
    for seed in range(120):
        for each in draw(blueprint, book, f"bet{seed}").questions(book):
            if each.answer == "one":
                right.setdefault((each.pattern, len(each.options)), Counter())[each.right] += 1
    best = {kind: max(found.values()) / found.total() for kind, found in right.items() if found.total() > 80}
    assert {"choose-band", "choose-practice", "choose-value", "find-fault"} <= {kind[0] for kind in best}
    assert all(share < (0.4 if kind[1] == 4 else 0.55) for kind, share in best.items()), best


def test_a_retake_shows_nothing_seen_while_the_pool_allows() -> None:
    book, blueprint = pool(60), Blueprint(20, 16, {"pad": 20})
    first = draw(blueprint, book, "one")
    second = draw(blueprint, book, "two", first.items)
    third = draw(blueprint, book, "three", [*first.items, *second.items])
    assert len({item.rule for paper in (first, second, third) for item in paper.items}) == 60
    fourth = draw(blueprint, book, "four", [*first.items, *second.items, *third.items])
    before = Seen.of(book, [*first.items, *second.items, *third.items])
    assert not any(before.was_shown(made) for made in fourth.questions(book))


def test_earlier_items_of_rules_that_are_gone_do_no_harm() -> None:
    data: Any = trade_book()
    data["rules"] = [rule for rule in data["rules"] if rule["key"] != "dust"]
    paper = draw(PRINT, BOOK, "old", ())
    assert draw(PRINT, RuleBook.parse(data), "new", paper.items)


def test_two_random_papers_of_20_from_60_share_about_6_67_rules() -> None:
    """Hypergeometric mean 20 * 20 / 60; 45 pairs of 10 papers, standard error about 0.25."""
    book, blueprint = pool(60), Blueprint(20, 16, {"pad": 20})
    drawn = [{item.rule for item in draw(blueprint, book, f"o{seed}").items} for seed in range(10)]
    shared = [len(one & other) for one, other in combinations(drawn, 2)]
    assert sum(shared) / len(shared) == pytest.approx(6.67, abs=1)


def test_scopes_leave_out_rules_about_other_roofs() -> None:
    data: Any = trade_book()
    for rule in data["rules"]:
        if rule["key"] in ("pad-width", "hip-bead"):
            rule["applies"] = {"profile": ["high"]}
    book = RuleBook.parse(data)
    for seed in range(20):
        rules = {item.rule for item in draw(PRINT, book, str(seed), scopes={"profile:low"}).items}
        assert not rules & {"pad-width", "hip-bead"}


def test_kinds_can_be_limited() -> None:
    limited = Blueprint.parse({**BLUEPRINT, "kinds": {"choose-value": 2, "type-value": 0}})
    for seed in range(20):
        kinds = Counter(item.pattern for item in draw(limited, BOOK, str(seed)).items)
        assert kinds["choose-value"] <= 2 and not kinds["type-value"]


@pytest.mark.parametrize(
    ("change", "key", "values"),
    [
        ({"questions": 20, "topics": {"slope": 20}}, "blueprint.topic_too_small", {"topic": "slope", "have": 3}),
        ({"topics": {"inspection": 3, "surface": 5, "slope": 2}, "critical_at_least": 9},
         "blueprint.too_few_critical", {}),
        ({"topics": {"moon": 10}}, "blueprint.topic_too_small", {"topic": "moon", "have": 0}),
        ({"kinds": {**dict.fromkeys(PATTERNS, 0), "type-value": 1}}, "blueprint.topic_too_small", None),
    ],
)  # fmt: skip
def test_a_blueprint_that_cannot_be_filled_is_refused_with_what_is_short(
    change: dict[str, Any], key: str, values: dict[str, Any] | None
) -> None:
    with pytest.raises(Refused) as refusal:
        draw(Blueprint.parse({**BLUEPRINT, **change}), BOOK, "1")
    if values is not None:
        assert refusal.value.message.key == key
        assert values.items() <= dict(refusal.value.message.values).items()


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"topics": {"pad": 3}}, "blueprint.topics"), ({"pass_right": 11}, "blueprint.pass_right"),
        ({"critical_at_least": 30}, "blueprint.critical_at_least"), ({"kinds": {"sing": 1}}, "blueprint.kinds.sing"),
        ({"questions": "ten"}, "blueprint.questions"), ({"pas_right": 8}, "blueprint.pas_right"),
        ({"topics": {"pad": -1}}, "blueprint.topics.pad"),
    ],
)  # fmt: skip
def test_a_faulty_blueprint_names_the_place(change: dict[str, Any], place: str) -> None:
    with pytest.raises(FileFaults) as refusal:
        Blueprint.parse({**BLUEPRINT, **change})
    assert place in [fault.place for fault in refusal.value.faults]


# --- the search for a filling, against trying everything ----------------------------------------------------------


def _possible(seats: list[Seat], topics: dict[str, int], limits: dict[str, int], critical: int) -> bool:
    """Every set of rules with every choice of patterns."""
    for taken in combinations(seats, sum(topics.values())):
        if Counter(seat.topic for seat in taken) != Counter({topic: n for topic, n in topics.items() if n}):
            continue
        if sum(seat.critical for seat in taken) < critical:
            continue
        for kinds in product(*(seat.kinds for seat in taken)):
            if all(used <= limits.get(kind, 0) for kind, used in Counter(kinds).items()):
                return True
    return False


_SEATS = st.lists(
    st.tuples(st.sampled_from("AB"), st.booleans(), st.sets(st.sampled_from("xyz"), min_size=1).map(sorted).map(tuple)),
    min_size=1, max_size=6,
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(
    _SEATS,
    st.fixed_dictionaries({"A": st.integers(0, 2), "B": st.integers(0, 2)}),
    st.fixed_dictionaries({kind: st.integers(0, 2) for kind in "xyz"}),
    st.integers(0, 3),
)
def test_a_filling_is_found_exactly_when_there_is_one(
    rows: list[tuple[str, bool, tuple[str, ...]]], topics: dict[str, int], limits: dict[str, int], critical: int
) -> None:
    seats = [Seat(f"r{place}", *row) for place, row in enumerate(rows)]
    if not _possible(seats, topics, limits, critical):
        with pytest.raises(Refused):
            fill_seats(seats, Demand(topics, limits, critical))
        return
    by_rule = {seat.rule: seat for seat in seats}
    taken = fill_seats(seats, Demand(topics, limits, critical))
    chosen = [by_rule[rule] for rule, _ in taken]
    assert len({seat.rule for seat in chosen}) == len(chosen) == sum(topics.values())
    assert all(kind in by_rule[rule].kinds for rule, kind in taken)
    assert all(used <= limits[kind] for kind, used in Counter(kind for _, kind in taken).items())
    assert sum(seat.critical for seat in chosen) >= critical
    assert Counter(seat.topic for seat in chosen) == Counter({topic: n for topic, n in topics.items() if n})
