"""Crew lists: all or nothing, confirmed once, undone while nothing rests on them, never across companies."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from tests import factories as make
from training import facts, sheets
from training.actions import imports as actions
from training.actions import people
from training.domain.crewlist_columns import Field, Kind
from training.domain.crewlist_match import SAME_DETAILS, Choice
from training.domain.crewlist_reading import Choices, Columns
from training.domain.errors import BadInput, NotAllowed, NotFound, Refused
from training.domain.messages import Message
from training.domain.names import Likeness
from training.domain.register import EntryKind
from training.domain.table import Cell, Table, table
from training.models import Crew, CrewImport, Entry, Membership, Person
from training.models.people import crews_of, people_of
from training.permissions import Actor
from training.texts import say

pytestmark = pytest.mark.django_db

MESSY = Path(__file__).parents[1] / "files" / "crew_messy.csv"
HEAD: list[Cell] = ["Nombre", "Apellidos", "Tel", "Cuadrilla", "Ingreso"]
LIST = [
    HEAD,
    ["José", "Pérez Álvarez", "305-555-0101", "Harbor", datetime.date(2024, 3, 4)],
    ["Ana", "Ruiz", "305-555-0102", "Ridge", datetime.date(2025, 1, 2)],
]


@pytest.fixture
def officer() -> Actor:
    return make.officer_of(make.CompanyFactory())


def started(by: Actor, lines: list[list[Cell]] | None = None) -> CrewImport:
    return actions.start_import(by=by, file_name="crew.csv", table=table(lines or LIST))


def confirmed(by: Actor, lines: list[list[Cell]] | None = None) -> CrewImport:
    return actions.confirm_import(by=by, crew_import=started(by, lines))


def kinds(by: Actor) -> list[str]:
    return list(Entry.objects.of(by.employer).in_order().values_list("kind", flat=True))


def test_nothing_enters_the_record_before_the_list_is_confirmed(officer: Actor) -> None:
    started(officer)
    assert not Person.objects.exists()
    assert not Entry.objects.exists()
    assert not Crew.objects.exists()


def test_a_confirmed_list_makes_people_crews_and_dated_ties(officer: Actor) -> None:
    made = confirmed(officer)
    assert [str(person) for person in made.created()] == ["José Pérez Álvarez", "Ana Ruiz"]
    jose = made.created()[0]
    assert (jose.phone, jose.language, jose.memberships.get().starts) == (
        "+13055550101",
        "en",
        datetime.date(2024, 3, 4),
    )
    tie = jose.crew_memberships.get()
    assert (tie.crew.name, tie.starts) == ("Harbor", officer.today)


def test_a_confirmed_list_is_one_page_of_the_register_beside_those_of_each_person(officer: Actor) -> None:
    made = confirmed(officer)
    person = [EntryKind.PERSON_ADDED, EntryKind.MEMBERSHIP_STARTED, EntryKind.CREW_JOINED]
    assert kinds(officer) == [*[EntryKind.CREW_CREATED] * 2, *person * 2, EntryKind.IMPORT_CONFIRMED]
    entry = Entry.objects.get(kind=EntryKind.IMPORT_CONFIRMED)
    assert sorted(entry.data["people"]) == sorted(made.created().values_list("pk", flat=True))


def test_confirming_twice_adds_nobody_twice(officer: Actor) -> None:
    made = confirmed(officer)
    again = actions.confirm_import(by=officer, crew_import=CrewImport.objects.get(pk=made.pk))
    assert again.confirmed_at == made.confirmed_at
    assert (Person.objects.count(), kinds(officer).count(EntryKind.IMPORT_CONFIRMED)) == (2, 1)


def test_a_list_that_fails_half_way_leaves_nothing(officer: Actor, monkeypatch: pytest.MonkeyPatch) -> None:
    real, calls = actions.add_person, []

    def breaks_at_the_second(**given: object) -> Person:
        calls.append(given)
        if len(calls) == 2:
            raise Refused("people.not_employed")
        return real(**given)  # type: ignore[arg-type]

    row = started(officer)
    monkeypatch.setattr(actions, "add_person", breaks_at_the_second)
    with pytest.raises(Refused):
        actions.confirm_import(by=officer, crew_import=row)
    assert len(calls) == 2
    assert not Person.objects.exists()
    assert not Crew.objects.exists()
    assert not Entry.objects.exists()
    assert CrewImport.objects.get().confirmed_at is None


def test_a_list_with_a_bad_cell_is_not_confirmed(officer: Actor) -> None:
    with pytest.raises(Refused) as refused:
        confirmed(officer, [*LIST, ["Bo", "Li", "555-0101", "", None]])
    assert refused.value.message.key == "crewlist.plan.faults"


def test_somebody_added_meanwhile_stops_the_list_until_a_choice_is_made(officer: Actor) -> None:
    row = started(officer)
    details = {"given_names": "Jose", "family_names": "Alvarez Perez", "language": "es"}
    known = people.add_person(by=officer, starts=officer.today, details=details)
    with pytest.raises(Refused) as refused:
        actions.confirm_import(by=officer, crew_import=row)
    assert refused.value.message.key == "crewlist.plan.doubles"
    actions.choose_rows(by=officer, crew_import=row, rows={2: Choice("same", known.pk)}, fixes={})
    done = actions.confirm_import(by=officer, crew_import=row)
    assert [str(person) for person in done.created()] == ["Ana Ruiz"]
    assert Entry.objects.get(kind=EntryKind.IMPORT_CONFIRMED).data["same"] == {"2": known.pk}


def test_people_of_another_company_are_no_doubles(officer: Actor) -> None:
    elsewhere = make.officer_of(make.CompanyFactory())
    confirmed(elsewhere)
    assert confirmed(officer).created().count() == 2


def test_crews_that_are_there_are_used(officer: Actor) -> None:
    harbor = people.create_crew(by=officer, name="HARBOR")
    jose = confirmed(officer).created()[0]
    assert jose.crew_memberships.get().crew == harbor
    assert crews_of(officer.employer).count() == 2


def test_choices_and_corrections_are_kept_and_can_be_taken_back(officer: Actor) -> None:
    row = started(officer)
    actions.choose_rows(by=officer, crew_import=row, rows={2: Choice("skip")}, fixes={"3:phone": "305 555 0109"})
    actions.choose_rows(by=officer, crew_import=row, rows={3: Choice("new")}, fixes={})
    kept = Choices.from_json(CrewImport.objects.get().choices)
    assert kept == Choices({2: Choice("skip"), 3: Choice("new")}, {"3:phone": "305 555 0109"})
    actions.choose_rows(by=officer, crew_import=row, rows={2: None}, fixes={"3:phone": ""})
    assert Choices.from_json(CrewImport.objects.get().choices) == Choices({3: Choice("new")}, {})


def test_other_columns_keep_the_choices_made(officer: Actor) -> None:
    row = started(officer)
    actions.choose_rows(by=officer, crew_import=row, rows={2: Choice("skip")}, fixes={})
    fields = {0: Field.FAMILY, 1: Field.GIVEN}
    columns = Columns(1, fields, officer.today, officer.today, "es")
    changed = actions.choose_columns(by=officer, crew_import=row, columns=columns)
    reading = facts.crew_list(changed, officer.today)
    assert reading.plan.skipped == (2,)
    assert reading.rows[1].person.name.full == "Ruiz Ana"


def test_columns_without_a_name_are_refused(officer: Actor) -> None:
    columns = Columns(1, {2: Field.PHONE}, officer.today, officer.today, "es")
    with pytest.raises(BadInput) as refused:
        actions.choose_columns(by=officer, crew_import=started(officer), columns=columns)
    assert refused.value.message.key == "crewlist.columns.no_name"


def test_undoing_takes_everybody_off_every_list_and_keeps_the_register(officer: Actor) -> None:
    made = confirmed(officer)
    before = Entry.objects.count()
    undone = actions.undo_import(by=officer, crew_import=made)
    assert not people_of(officer.employer).exists()
    assert [crew.size for crew in crews_of(officer.employer).with_size(officer.today)] == [0, 0]
    assert Entry.objects.count() == before + 1
    assert Entry.objects.get(kind=EntryKind.IMPORT_UNDONE).data["import"] == made.pk
    actions.undo_import(by=officer, crew_import=undone)
    assert Entry.objects.count() == before + 1


def test_an_undone_list_can_be_brought_in_again_as_a_new_one(officer: Actor) -> None:
    undone = actions.undo_import(by=officer, crew_import=confirmed(officer))
    with pytest.raises(Refused) as refused:
        actions.confirm_import(by=officer, crew_import=undone)
    assert refused.value.message.key == "crewlist.undone"
    assert confirmed(officer).created().count() == 2


@pytest.mark.parametrize("what", ["access", "correction", "leaving"])
def test_a_list_is_not_undone_once_something_rests_on_it(officer: Actor, what: str) -> None:
    from training.actions.access import give_access

    made = confirmed(officer)
    person = made.created()[0]
    if what == "access":
        give_access(by=officer, person=person)
    elif what == "correction":
        people.correct_person(by=officer, person=person, details={"family_names": "Perez"})
    else:
        people.end_membership(by=officer, person=person, ends=officer.today)
    with pytest.raises(Refused) as refused:
        actions.undo_import(by=officer, crew_import=made)
    assert refused.value.message.key == "crewlist.undo_rests"
    assert "José" in say(refused.value.message)
    assert people_of(officer.employer).count() == 2


def test_a_list_that_was_never_confirmed_is_thrown_away_but_not_undone(officer: Actor) -> None:
    row = started(officer)
    with pytest.raises(Refused):
        actions.undo_import(by=officer, crew_import=row)
    actions.discard_import(by=officer, crew_import=row)
    assert not CrewImport.objects.exists()


def test_a_confirmed_list_can_no_longer_change(officer: Actor) -> None:
    made = confirmed(officer)
    columns = Columns.from_json(made.columns)
    for act in (
        lambda: actions.choose_columns(by=officer, crew_import=made, columns=columns),
        lambda: actions.choose_rows(by=officer, crew_import=made, rows={}, fixes={}),
        lambda: actions.discard_import(by=officer, crew_import=made),
    ):
        with pytest.raises(Refused) as refused:
            act()
        assert refused.value.message.key == "crewlist.confirmed"


def test_another_company_has_no_such_list_and_others_may_not_touch_it(officer: Actor) -> None:
    made = started(officer)
    stranger = make.officer_of(make.CompanyFactory())
    with pytest.raises(NotFound):
        actions.confirm_import(by=stranger, crew_import=made)
    crew = make.applicator(make.PersonFactory(company=officer.employer))
    for act in (actions.confirm_import, actions.undo_import, actions.discard_import):
        with pytest.raises(NotAllowed):
            act(by=crew, crew_import=made)
    with pytest.raises(NotAllowed):
        actions.start_import(by=crew, file_name="x", table=Table(()))


def test_the_messy_list_is_read_row_by_row(officer: Actor) -> None:
    """A list as offices keep them: title rows, two surnames, mixed dates, doubles, a repeated heading, a total."""
    with MESSY.open("rb") as file:
        row = actions.start_import(
            by=officer, file_name="x.csv", table=sheets.read_table(file, "x.csv", MESSY.stat().st_size)
        )
    reading = facts.crew_list(row, datetime.date(2026, 11, 25))
    assert (len(reading.rows), reading.layout.header_row) == (23, 4)
    faults = {(note.row, note.column, note.message.key) for row in reading.rows for note in row.faults}
    assert faults == {
        (14, "C", "phone.unreadable"),
        (15, "C", "phone.two"),
        (17, "C", "phone.no_area_code"),
        (17, "F", "date.impossible"),
        (20, "D", "crewlist.language.unknown"),
        (21, "F", "date.unreadable"),
        (24, "G", "crewlist.born.too_young"),
        (28, "F", "date.future"),
        (30, "B", "crewlist.name.missing"),
        (30, "F", "date.unreadable"),
    }
    assert {number: {double.id for double in found} for number, found in reading.doubles.items()} == {
        7: {6},
        8: {6, 7},
        19: {18},
    }
    assert reading.plan.new_crews == ("Harbor", "Ridge", "Pine")


def test_every_word_of_a_crew_list_is_in_the_texts() -> None:
    keys = [f"crewlist.field.{found}" for found in Field] + [f"crewlist.kind.{found}" for found in Kind]
    reasons = [*Likeness, *(f"same_{detail}" for detail in SAME_DETAILS), "same_birth"]
    keys += [f"crewlist.double.{reason}" for reason in reasons]
    keys += ["crewlist.language.en", "crewlist.language.es"]
    assert all(say(Message(key)) for key in keys)


def test_a_person_employed_for_years_is_in_the_crew_only_from_the_day_given(officer: Actor) -> None:
    made = confirmed(officer)
    held = Membership.objects.filter(person__in=made.created()).values_list("starts", flat=True)
    assert max(held) < officer.today
    assert {tie.starts for person in made.created() for tie in person.crew_memberships.all()} == {officer.today}
