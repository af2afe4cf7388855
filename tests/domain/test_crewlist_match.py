"""Likely doubles in a crew list, choices, and the plan that comes of them."""

from __future__ import annotations

import time
from datetime import date

import pytest

from training.domain.crewlist import Candidate, Note, ReadRow
from training.domain.crewlist_columns import Field
from training.domain.crewlist_match import Against, Choice, Known, find_doubles, make_plan, near_crews
from training.domain.messages import Message

KNOWN = Known(7, "José", "Pérez Álvarez", phone="+13055550101", born=date(1988, 2, 14))


def _row(number: int, given: str, family: str, **more: object) -> ReadRow:
    return ReadRow(number, Candidate(given, family, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("row", "reasons"),
    [
        (_row(2, "Jose", "Perez Alvarez"), ("same_name",)),
        (_row(2, "José", "Álvarez Pérez"), ("swapped_names",)),
        (_row(2, "Pérez Álvarez", "José"), ("swapped_names",)),
        (_row(2, "Jose A.", "Perez"), ("part_of_name",)),
        (_row(2, "Joe", "Perez"), ("close_spelling",)),
        (_row(2, "Ana", "Ruiz", phone="+13055550101"), ("same_phone",)),
        (_row(2, "Jose", "Perez", born=date(1988, 2, 14)), ("part_of_name", "same_birth")),
    ],
)
def test_someone_in_the_record_is_recognised(row: ReadRow, reasons: tuple[str, ...]) -> None:
    """The three spellings of one man under which records get lost: with an initial, with both surnames, as Joe."""
    (double,) = find_doubles([row], [KNOWN])[2]
    assert (double.against, double.id, double.reasons) == (Against.PERSON, 7, reasons)


@pytest.mark.parametrize(
    "row",
    [
        _row(2, "José", "García"),
        _row(2, "Luis", "Pérez Álvarez"),
        _row(2, "Jose", "Perez", born=date(1990, 1, 1)),
        _row(2, "Ana", "Ruiz"),
    ],
)
def test_someone_else_is_not_taken_for_a_double(row: ReadRow) -> None:
    assert find_doubles([row], [KNOWN]) == {}


def test_a_repetition_in_the_list_points_to_the_row_above() -> None:
    doubles = find_doubles([_row(2, "Ana", "Ruiz"), _row(5, "ANA", "RUIZ"), _row(6, "Bo", "Li")], [])
    assert {number: [double.id for double in found] for number, found in doubles.items()} == {5: [2]}


def test_a_likely_double_waits_for_a_choice() -> None:
    rows = [_row(2, "Jose", "Perez"), _row(3, "Ana", "Ruiz")]
    doubles = find_doubles(rows, [KNOWN])
    waiting = make_plan(rows, doubles, {})
    assert [problem.key for problem in waiting.open] == ["crewlist.plan.doubles"]
    assert [row.number for row in make_plan(rows, doubles, {2: Choice("new")}).new] == [2, 3]
    assert make_plan(rows, doubles, {2: Choice("same", 7)}).same == {2: 7}
    assert make_plan(rows, doubles, {2: Choice("skip")}).skipped == (2,)


def test_only_a_person_who_was_shown_can_be_chosen() -> None:
    rows = [_row(2, "Jose", "Perez"), _row(3, "Ana", "Ruiz")]
    plan = make_plan(rows, find_doubles(rows, [KNOWN]), {2: Choice("same", 99), 3: Choice("same", 7)})
    assert not plan.same
    assert [problem.key for problem in plan.open] == ["crewlist.plan.doubles"]


def test_a_row_with_a_fault_is_put_right_or_left_out() -> None:
    fault = Note(2, Field.PHONE, "D", "Tel", "x", Message("phone.unreadable"))
    rows = [ReadRow(2, Candidate("Ana", "Ruiz"), (fault,)), _row(3, "Bo", "Li")]
    assert [problem.key for problem in make_plan(rows, {}, {2: Choice("new")}).open] == ["crewlist.plan.faults"]
    assert make_plan(rows, {}, {2: Choice("skip")}).is_ready


def test_a_list_that_would_create_nobody_is_not_confirmed() -> None:
    assert [problem.key for problem in make_plan([], {}, {}).open] == ["crewlist.plan.nobody"]


def test_crews_are_matched_whatever_their_accents_and_new_ones_named_once() -> None:
    rows = [
        _row(2, "A", "B", crew="Cuadrilla Norte"),
        _row(3, "C", "D", crew="cuadrilla norte"),
        _row(4, "E", "F", crew="Sur"),
    ]
    assert make_plan(rows, {}, {}, ["SUR"]).new_crews == ("Cuadrilla Norte",)


@pytest.mark.parametrize(
    ("crew", "other", "near"),
    [
        ("Cuadrila Norte", "Cuadrilla Norte", True),
        ("Crew1", "Crew 1", True),
        ("Ridge", "Ridge crew", True),
        ("Norte", "Cuadrilla Norte", True),
        ("Crew 1", "Crew 2", False),
        ("Crew A", "Crew B", False),
        ("Norte", "Sur", False),
    ],
)
def test_a_crew_name_with_a_slip_is_pointed_out(crew: str, other: str, near: bool) -> None:
    assert bool(near_crews([_row(2, "A", "B", crew=crew)], [other])) is near


@pytest.mark.parametrize("text", ["", "same:", "same:x", "same:-1", "same:²", "other", "new:1", "same:1:2"])
def test_a_choice_that_was_not_offered_is_no_choice(text: str) -> None:
    assert Choice.parse(text) is None


def test_two_thousand_rows_against_two_thousand_people_take_seconds() -> None:
    given = ["José", "Luis", "Ana", "Juan", "Carlos", "María", "Pedro", "Rosa", "Miguel", "Elena"]
    family = [
        f"{a}{b}"
        for a in ("Per", "Gom", "Ram", "Tor", "Cas", "Mor", "Riv", "Sal")
        for b in ("ez", "illo", "ales", "anza", "ero")
    ]
    names = [(g, f"{one} {two}") for g in given for one in family for two in family][:2_000]
    known = [Known(number, *name) for number, name in enumerate(names)]
    rows = [_row(number, *name) for number, name in enumerate(names)]
    start = time.perf_counter()
    assert len(find_doubles(rows, known)) == 2_000
    assert time.perf_counter() - start < 30
