"""The hands-on checklist: values judged at once, series, stop items, scopes set aside, and what the whole comes to."""

from fractions import Fraction
from typing import Any

import pytest

from tests.domain.trade_book import trade_book
from training.domain.checklist import Checklist, Observation, Value
from training.domain.errors import BadInput, Refused
from training.domain.rules import RuleBook
from training.domain.units import Measure, measure

BOOK = RuleBook.parse(trade_book())
LIST = Checklist.for_scopes(BOOK, {"profile:low", "detail:hip"})
SHARE = Fraction("0.80")
WARM, COLD = measure(72, "degF"), measure(60, "degF")


def minutes(*values: str) -> tuple[Measure, ...]:
    return tuple(measure(value, "min") for value in values)


def good(**changes: Observation) -> dict[str, Observation]:
    """Everything well done, except for the changes."""
    seen = {
        "E02": Observation((True,)), "E08": Observation((WARM, WARM)), "E11": Observation((2,)),
        "E17": Observation((2,)),
        "E22": Observation(minutes("3", "3", "2", "4", "3")), "E29": Observation((2,)),
    }  # fmt: skip
    return {**seen, **changes}


def keys(result: Any) -> list[str]:
    return [message.key for message in result.failures]


def test_items_of_other_scopes_are_left_out() -> None:
    assert "E29" in [item.key for item in LIST.items]
    assert "E29" not in [item.key for item in Checklist.for_scopes(BOOK, {"profile:low"}).items]


def test_a_checklist_needs_a_scope() -> None:
    with pytest.raises(Refused) as refusal:
        Checklist.for_scopes(BOOK, ())
    assert refusal.value.message.key == "checklist.no_scopes"


def test_everything_good_passes_with_its_scopes() -> None:
    result = LIST.judge(good(), SHARE)
    assert (result.result, result.scopes, result.share) == ("passed", {"profile:low", "detail:hip"}, 1)


def test_a_reading_is_judged_at_once_with_its_limit() -> None:
    judged = LIST.judge_value(LIST.item("E08"), COLD)
    assert (judged.ok, judged.message.key) == (False, "judge.too_low")
    assert LIST.judge_value(LIST.item("E08"), measure(22, "degC")).ok


@pytest.mark.parametrize(
    ("item", "value", "key"),
    [
        ("E08", 2, "checklist.needs_reading"), ("E08", measure(4, "in"), "checklist.needs_reading"),
        ("E11", 3, "checklist.rating_0_1_2"), ("E11", True, "checklist.rating_0_1_2"),
        ("E02", 1, "checklist.yes_or_no"),
    ],
)  # fmt: skip
def test_a_value_of_another_kind_is_refused(item: str, value: Value, key: str) -> None:
    with pytest.raises(BadInput) as refusal:
        LIST.judge_value(LIST.item(item), value)
    assert refusal.value.message.key == key


def test_a_failed_stop_item_ends_it_with_the_rest_unfilled() -> None:
    result = LIST.judge({"E02": Observation((False,))}, SHARE)
    assert (result.result, result.scopes, keys(result)) == ("stopped", frozenset(), ["checklist.failed_stop"])


def test_a_failed_critical_item_fails_whatever_the_points() -> None:
    result = LIST.judge(good(E08=Observation((WARM, COLD))), SHARE)
    assert (result.result, result.scopes, keys(result)) == ("failed", frozenset(), ["checklist.failed_critical"])


@pytest.mark.parametrize(
    ("series", "ok"),
    # Three of five in a row, at most 4 minutes; common practice, no source.
    [
        (("3", "3", "3", "9", "9"), True), (("9", "3", "3", "4", "9"), True), (("3", "3", "9", "3", "3"), False),
        (("9", "9", "3", "3", "3"), True), (("9", "9", "9", "3", "3"), False),
    ],
)  # fmt: skip
def test_a_series_in_a_row_counts_only_together(series: tuple[str, ...], ok: bool) -> None:
    assert LIST.judge_item(LIST.item("E22"), Observation(minutes(*series))).ok is ok


def test_a_series_of_m_out_of_n_counts_the_good_ones() -> None:
    data: Any = trade_book()
    data["checklist"][4].update(in_a_row=False, repeat=10, need=9)
    checklist = Checklist.for_scopes(RuleBook.parse(data), {"profile:low"})
    item = checklist.item("E22")
    assert checklist.judge_item(item, Observation(minutes(*["3"] * 9, "9"))).ok
    lost = checklist.judge_item(item, Observation(minutes("9", "9")))
    assert lost.complete and not lost.ok  # two bad ones: nine of ten are out of reach
    assert not checklist.judge_item(item, Observation(minutes("9"))).complete


def test_open_items_are_named() -> None:
    seen = good()
    del seen["E17"]
    with pytest.raises(Refused) as refusal:
        LIST.judge({**seen, "E22": Observation(minutes("3"))}, SHARE)
    assert refusal.value.message.values["parts"] == [item.group for item in LIST.items if item.key in {"E17", "E22"}]


def test_ordinary_points_must_reach_the_share() -> None:
    # Two rated items: 2 and 1 of 2 is 75 %, 2 and 2 is 100 %.
    result = LIST.judge(good(E17=Observation((1,))), SHARE)
    assert (result.result, result.share, keys(result)) == ("failed", Fraction(3, 4), ["checklist.share_low"])
    assert LIST.judge(good(E17=Observation((1,))), Fraction("0.75")).result == "passed"


def test_not_applicable_takes_its_scopes_along() -> None:
    result = LIST.judge(good(E29=Observation(not_applicable="No hip on this roof")), SHARE)
    assert (result.result, result.scopes) == ("passed", {"profile:low"})


def test_not_applicable_for_the_only_scope_leaves_nothing_to_pass() -> None:
    only = Checklist.for_scopes(BOOK, {"detail:hip"})
    result = only.judge(good(E29=Observation(not_applicable="No hip")), SHARE)
    assert (result.result, keys(result)) == ("failed", ["checklist.nothing_left"])


def test_not_applicable_needs_a_reason_and_an_item_that_may_be_left_out() -> None:
    for item, reason, key in (("E29", "  ", "checklist.needs_reason"), ("E02", "No edge", "checklist.always_applies")):
        with pytest.raises(Refused) as refusal:
            LIST.judge_item(LIST.item(item), Observation(not_applicable=reason))
        assert refusal.value.message.key == key


def test_too_many_values_are_refused() -> None:
    with pytest.raises(BadInput):
        LIST.judge_item(LIST.item("E02"), Observation((True, True)))


def test_a_rating_passes_from_its_own_least() -> None:
    data: Any = trade_book()
    data["checklist"][5]["least"] = 2
    strict = Checklist.for_scopes(RuleBook.parse(data), {"detail:hip"})
    assert not strict.judge_item(strict.item("E29"), Observation((1,))).ok
    assert LIST.judge_item(LIST.item("E29"), Observation((1,))).ok
