"""Scopes and qualifications as data: what includes what, and every mistake in the data refused by name."""

import copy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.story import HIGH, LOW, MEDIUM, METAL, QUALIFICATION, raw_qualification
from training.domain.errors import BadInput
from training.domain.qualification import Qualification
from training.domain.scopes import ScopeBook

BOOK = QUALIFICATION.scopes
keys = st.sets(st.sampled_from(sorted(BOOK.scopes)))


def families(*scopes):
    words = {"en": "Word", "es": "Palabra"}
    rows = [{"key": key, "title": words, "implies": list(implies)} for key, implies in scopes]
    return [{"key": "family", "title": words, "scopes": rows}]


def test_a_steeper_slope_includes_the_flatter_ones_and_not_the_reverse():
    assert BOOK.missing({"slope:s4"}, {"slope:s1", "slope:s3"}) == ()
    assert BOOK.missing({"slope:s1"}, {"slope:s4"}) == ("slope:s4",)


def test_a_high_profile_includes_no_other_profile():
    assert BOOK.missing({HIGH}, {LOW, MEDIUM}) == (LOW, MEDIUM)


def test_inclusion_is_followed_step_by_step():
    book = ScopeBook.parse(families(("a", ["b"]), ("b", ["c"]), ("c", [])))
    assert book.expand({"a"}) == {"a", "b", "c"}
    assert book.including({"c"}) == {"a", "b", "c"}


def test_what_is_lost_takes_with_it_whatever_includes_it():
    assert BOOK.without({"slope:s3", METAL}, {"slope:s2"}) == {"slope:s1", METAL}
    assert BOOK.without({"slope:s3"}, {"slope:s3"}) == {"slope:s1", "slope:s2"}


def test_scopes_are_named_by_the_fewest_that_say_the_same():
    assert BOOK.shortest({"slope:s1", "slope:s3", LOW, MEDIUM}) == (MEDIUM, "slope:s3")
    assert [word["es"] for word in BOOK.words({METAL, LOW})] == ["Perfil bajo", "Alero metálico"]


@given(keys, keys)
def test_nothing_is_missing_exactly_when_every_wanted_scope_is_covered(held, wanted):
    assert (BOOK.missing(held, wanted) == ()) == (wanted <= BOOK.expand(held))
    assert BOOK.missing(held | wanted, wanted) == ()


@given(keys)
def test_expanding_twice_adds_nothing_and_the_shortest_form_loses_nothing(held):
    assert BOOK.expand(BOOK.expand(held)) == BOOK.expand(held) == BOOK.expand(BOOK.shortest(held))


@given(keys, keys)
def test_what_is_left_covers_nothing_that_was_lost(held, lost):
    assert not BOOK.without(held, lost) & lost


@pytest.mark.parametrize(
    ("data", "key"),
    [
        (families(("a", ["b"]), ("b", ["a"])), "scopes.circle"),
        (families(("a", ["a"])), "scopes.circle"),
        (families(("a", ["b"]), ("b", ["c"]), ("c", ["a"])), "scopes.circle"),
        (families(("a", ["z"])), "scopes.implies_unknown"),
        (families(("a", []), ("a", [])), "scopes.twice"),
        ([], "scopes.unreadable"),
        ({"key": "a"}, "scopes.unreadable"),
        ([{"key": "family", "title": {"en": "Only English"}, "scopes": []}], "scopes.unreadable"),
        ([{**families(("a", []))[0], "title": {"en": "Only English"}}], "text.missing"),
        ([{**families(("a", []))[0], "key": " "}], "key.missing"),
    ],
)
def test_a_faulty_book_of_scopes_is_refused_by_name(data, key):
    with pytest.raises(BadInput) as no:
        ScopeBook.parse(data)
    assert no.value.message.key == key


def test_a_scope_that_the_book_does_not_have_is_refused():
    with pytest.raises(BadInput) as no:
        BOOK.check({LOW, "profile:wavy"})
    assert no.value.message.values == {"scopes": "profile:wavy"}


def change(path, value):
    data = copy.deepcopy(raw_qualification())
    at = data
    for name in path[:-1]:
        at = at[name]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return data


@pytest.mark.parametrize(
    ("path", "value", "key"),
    [
        (("format",), "headlap-qualification/9", "qualification.format"),
        (("key",), None, "key.missing"),
        (("title", "es"), "  ", "text.missing"),
        (("validity", "period"), "two years", "period.unreadable"),
        (("renewal_opens",), None, "period.unreadable"),
        (("steps",), [], "qualification.no_steps"),
        (("steps", 0, "kind"), "interview", "qualification.step_kind"),
        (("steps", 0, "documents"), [], "qualification.no_documents"),
        (("steps", 0, "needs"), ["quiz"], "qualification.step_order"),
        (("steps", 1, "key"), "reading", "qualification.step_twice"),
        (("steps", 1, "tries"), 0, "qualification.number"),
        (("steps", 1, "tries"), "3", "qualification.number"),
        (("steps", 1, "minutes"), None, "qualification.number"),
        (("steps", 1, "blueprint"), None, "qualification.no_blueprint"),
        (("steps", 1, "wait"), "PT1H", "period.not_days"),
        (("steps", 2, "pass_share"), "80 %", "qualification.share"),
        (("steps", 2, "pass_share"), "1.2", "qualification.share"),
        (("families",), None, "scopes.unreadable"),
    ],
)
def test_a_faulty_qualification_is_refused_by_name(path, value, key):
    with pytest.raises(BadInput) as no:
        Qualification.parse(change(path, value))
    assert no.value.message.key == key


@pytest.mark.parametrize("data", [None, [], "text", 3])
def test_something_that_is_no_qualification_is_refused(data):
    with pytest.raises(BadInput):
        Qualification.parse(data)


def test_a_step_with_a_shorter_period_keeps_its_own_clock():
    data = change(("steps", 1, "validity", "period"), "P12M")
    assert [step.own_clock for step in Qualification.parse(data).steps] == [False, True, False]


def test_a_step_without_its_own_rule_renews_like_the_whole():
    assert {step.validity.early for step in QUALIFICATION.steps} == {QUALIFICATION.validity.early}
