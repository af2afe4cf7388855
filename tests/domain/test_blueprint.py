"""A blueprint's fewest of a kind, rules kept apart, and how orders are marked."""

from collections import Counter
from fractions import Fraction
from itertools import combinations, product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.domain.trade_book import BLUEPRINT, trade_book
from training.domain.answers import OrderPolicy
from training.domain.errors import Refused
from training.domain.json_reading import FileFaults
from training.domain.papers import Blueprint, draw
from training.domain.questions import question
from training.domain.rules import RuleBook
from training.domain.scoring import mark
from training.domain.seats import Demand, Seat, fill_seats

BOOK = RuleBook.parse(trade_book())


def blueprint(**changes: Any) -> Blueprint:
    return Blueprint.parse({**BLUEPRINT, **changes})


def test_a_paper_has_the_fewest_of_each_kind() -> None:
    wanted = {"choose-band": {"least": 1}, "compute": {"least": 2, "most": 3}, "choose-value": 2}
    for seed in range(20):
        kinds = Counter(item.pattern for item in draw(blueprint(kinds=wanted), BOOK, str(seed)).items)
        assert kinds["choose-band"] >= 1
        assert 2 <= kinds["compute"] <= 3
        assert kinds["choose-value"] <= 2


def test_rules_of_a_group_never_stand_together() -> None:
    groups = [["uplift", "bonded", "lift-rate"], ["cure", "tack-free", "set-time"], ["dust", "valve"]]
    asked = blueprint(never_together=groups)
    for seed in range(40):
        rules = {item.rule for item in draw(asked, BOOK, str(seed)).items}
        assert all(len(rules & set(group)) <= 1 for group in groups)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"never_together": [["uplift", "bonded", "field-check", "lift-rate"]], "topics": {"inspection": 2},
          "questions": 2, "pass_right": 2, "critical_at_least": 0}, "blueprint.cannot_be_filled"),
        ({"kinds": {"choose-band": {"least": 2}}}, "blueprint.kind_too_small"),
        ({"kinds": {"put-in-order": {"least": 1}, "choose-practice": 0}, "topics": {"surface": 2, "pad": 8}},
         "blueprint.topic_too_small"),
    ],
)  # fmt: skip
def test_what_cannot_be_filled_is_refused(changes: dict[str, Any], key: str) -> None:
    with pytest.raises(Refused) as refusal:
        draw(blueprint(**changes), BOOK, "1")
    assert refusal.value.message.key == key


@pytest.mark.parametrize(
    ("changes", "place", "key"),
    [
        ({"kinds": {"compute": {"least": 3, "most": 2}}}, "kinds.compute.least", "blueprint.least_above_most"),
        ({"kinds": {"compute": {"least": 11}}}, "kinds", "blueprint.more_than_questions"),
        ({"kinds": {"compute": {"lest": 1}}}, "kinds.compute.lest", "file.unknown_field"),
        ({"kinds": {"sing": {"least": 1}}}, "kinds.sing", "file.unknown_choice"),
        ({"never_together": ["cure"]}, "never_together.1.group", "file.not_a_list"),
        ({"never_together": [["cure"]]}, "never_together.1", "blueprint.group_of_one"),
        ({"never_together": [["cure", "cure"]]}, "never_together.1", "blueprint.group_of_one"),
        ({"never_together": [["a", "b", "c", "d"]] * 7}, "never_together", "blueprint.too_many_groups"),
        ({"order": {"policy": "some"}}, "order.policy", "file.unknown_choice"),
        ({"order": {"policy": "run"}}, "order.share", "blueprint.run_share"),
        ({"order": {"policy": "run", "share": "1.2"}}, "order.share", "blueprint.run_share"),
        ({"order": {"policy": "run", "share": "0"}}, "order.share", "blueprint.run_share"),
    ],
)
def test_a_faulty_blueprint_names_place_and_fault(changes: dict[str, Any], place: str, key: str) -> None:
    with pytest.raises(FileFaults) as refusal:
        blueprint(**changes)
    assert (f"blueprint.{place}", key) in [(fault.place, fault.message.key) for fault in refusal.value.faults]


def test_an_order_is_marked_by_the_policy_of_the_blueprint() -> None:
    made = question(BOOK.rule("kit-order"), "put-in-order", "1")
    first, *rest = made.right.split(",")
    answer = ",".join([*rest, first])
    assert blueprint(order={"policy": "run", "share": "0.75"}).order == OrderPolicy(Fraction(3, 4))
    strict, lenient = blueprint(), blueprint(order={"policy": "run", "share": "3/4"})
    assert mark([made], {0: answer}, strict).right == 0
    assert mark([made], {0: answer}, lenient).right == 1
    assert mark([made], {0: made.right}, strict).right == mark([made], {0: made.right}, lenient).right == 1


# --- the search, against trying everything -------------------------------------------------------------------------


def _possible(seats: list[Seat], demand: Demand) -> bool:
    for taken in combinations(seats, demand.wanted):
        rules = {seat.rule for seat in taken}
        if Counter(seat.topic for seat in taken) != Counter({t: n for t, n in demand.topics.items() if n}):
            continue
        if sum(seat.critical for seat in taken) < demand.critical:
            continue
        if any(len(rules & set(group)) > 1 for group in demand.apart):
            continue
        for kinds in map(Counter, product(*(seat.kinds for seat in taken))):
            if all(kinds[kind] <= most for kind, most in demand.limits.items()) and all(
                kinds[kind] >= least for kind, least in demand.least.items()
            ):
                return True
    return False


_KINDS = st.sets(st.sampled_from("xyz"), min_size=1).map(sorted).map(tuple)
_GROUPS = st.lists(st.sets(st.sampled_from([f"r{n}" for n in range(6)]), min_size=2, max_size=3), max_size=2)


@settings(max_examples=400)
@given(
    st.lists(st.tuples(st.sampled_from("AB"), st.booleans(), _KINDS), min_size=1, max_size=6),
    st.fixed_dictionaries({"A": st.integers(0, 2), "B": st.integers(0, 2)}),
    st.fixed_dictionaries({kind: st.integers(0, 2) for kind in "xyz"}),
    st.integers(0, 2),
    st.dictionaries(st.sampled_from("xyz"), st.integers(0, 2)),
    _GROUPS,
)
def test_a_filling_is_found_exactly_when_there_is_one(
    rows: list[tuple[str, bool, tuple[str, ...]]], topics: dict[str, int], limits: dict[str, int], critical: int,
    least: dict[str, int], apart: list[set[str]],
) -> None:  # fmt: skip
    seats = [Seat(f"r{place}", *row) for place, row in enumerate(rows)]
    demand = Demand(topics, limits, critical, least, tuple(tuple(sorted(group)) for group in apart))
    if not _possible(seats, demand):
        with pytest.raises(Refused):
            fill_seats(seats, demand)
        return
    taken = fill_seats(seats, demand)
    rules = {rule for rule, _ in taken}
    used = Counter(kind for _, kind in taken)
    assert len(rules) == demand.wanted
    assert all(len(rules & group) <= 1 for group in apart)
    assert all(least.get(kind, 0) <= used[kind] <= limits[kind] for kind in "xyz")
    assert sum(seat.critical for seat in seats if seat.rule in rules) >= critical
