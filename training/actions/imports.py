"""Crew lists: kept as uploaded and chosen until confirmed, then all or nothing; undone while nothing rests on them.

Until it is confirmed a list changes nobody's record, so it has no page in the register.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from django.db import transaction

from training import facts
from training.actions.base import record
from training.actions.people import add_person, create_crew, join_crew
from training.domain.crewlist import ReadRow
from training.domain.crewlist_columns import missing
from training.domain.crewlist_match import Choice
from training.domain.crewlist_reading import Choices, Columns, Reading
from training.domain.errors import BadInput, NotAllowed, Refused
from training.domain.names import fold
from training.domain.register import EntryKind
from training.domain.table import Table
from training.kinds import KIND_WORDS
from training.models import Crew, CrewImport, Entry, Person
from training.permissions import Actor, check_officer, check_same_company


@transaction.atomic
def start_import(*, by: Actor, file_name: str, table: Table) -> CrewImport:
    """Keep an uploaded list with the columns it suggests. Nothing enters the record yet."""
    check_officer(by)
    if by.user is None:
        raise NotAllowed("access.officer_only")
    columns = Columns.guess(table, today=by.today, language=by.employer.language)
    return CrewImport.objects.create(
        company=by.employer,
        by=by.user,
        file_name=file_name[-200:],
        uploaded_at=by.now,
        rows=table.to_json(),
        columns=columns.to_json(),
        choices=Choices().to_json(),
    )


@transaction.atomic
def choose_columns(*, by: Actor, crew_import: CrewImport, columns: Columns) -> CrewImport:
    """Say which column holds what; choices made row by row are kept."""
    row = _open_import(by, crew_import)
    problems = missing(columns.fields)
    if problems:
        raise BadInput(problems[0])
    row.columns = columns.to_json()
    row.save(update_fields=["columns"])
    return row


@transaction.atomic
def choose_rows(
    *, by: Actor, crew_import: CrewImport, rows: Mapping[int, Choice | None], fixes: Mapping[str, str]
) -> CrewImport:
    """Keep choices and corrections for some rows; the others stay as they are. None and an empty text take back."""
    row = _open_import(by, crew_import)
    before = Choices.from_json(row.choices)
    chosen = {number: choice for number, choice in {**before.rows, **rows}.items() if choice is not None}
    typed = {key: text for key, text in {**before.fixes, **fixes}.items() if text}
    row.choices = Choices(chosen, typed).to_json()
    row.save(update_fields=["choices"])
    return row


@transaction.atomic
def confirm_import(*, by: Actor, crew_import: CrewImport) -> CrewImport:
    """Add everybody on the list, or nobody. A second confirmation finds it done and changes nothing.

    One entry for the list; the entries of each person stand beside it, because standing reads them.
    """
    row = _locked(by, crew_import)
    if row.undone_at is not None:
        raise Refused("crewlist.undone")
    if row.confirmed_at is not None:
        return row
    reading = facts.crew_list(row, by.today)
    if reading.plan.open:
        raise Refused(reading.plan.open[0])
    people = _add_everybody(by, row, reading)
    data = {
        "import": row.pk,
        "file": row.file_name,
        "people": [person.pk for person in people],
        "same": {str(number): person for number, person in reading.plan.same.items()},
        "left_out": list(reading.plan.skipped),
    }
    record(by=by, kind=EntryKind.IMPORT_CONFIRMED, data=data)
    row.confirmed_at = by.now
    row.save(update_fields=["confirmed_at"])
    return row


def _add_everybody(by: Actor, row: CrewImport, reading: Reading) -> list[Person]:
    crews = {fold(crew.name) or crew.name: crew for crew in Crew.objects.of(by.employer)}
    for name in reading.plan.new_crews:
        crews[fold(name) or name] = create_crew(by=by, name=name)
    return [_add(by, row, new, crews, reading.columns.crews_from) for new in reading.plan.new]


def _add(by: Actor, row: CrewImport, new: ReadRow, crews: Mapping[str, Crew], crews_from: datetime.date) -> Person:
    found = new.person
    starts = found.hired or by.today
    details = {
        "given_names": found.given,
        "family_names": found.family,
        "phone": found.phone,
        "email": found.email,
        "language": found.language,
        "born": found.born,
        "employee_number": found.number,
    }
    person = add_person(by=by, starts=starts, details=details, source=row)
    if found.crew:
        join_crew(by=by, person=person, crew=crews[fold(found.crew) or found.crew], starts=max(starts, crews_from))
    return person


@transaction.atomic
def undo_import(*, by: Actor, crew_import: CrewImport) -> CrewImport:
    """Take everybody on the list out again, while nothing rests on them. The register keeps what was written.

    A second undoing finds it done and changes nothing.
    """
    row = _locked(by, crew_import)
    if row.confirmed_at is None:
        raise Refused("crewlist.not_confirmed")
    if row.undone_at is not None:
        return row
    _check_nothing_rests_on(row)
    people = list(row.created().values_list("pk", flat=True))
    record(by=by, kind=EntryKind.IMPORT_UNDONE, data={"import": row.pk, "file": row.file_name, "people": people})
    row.undone_at = by.now
    row.save(update_fields=["undone_at"])
    return row


def _check_nothing_rests_on(row: CrewImport) -> None:
    confirmed = Entry.objects.of(row.company).filter(kind=EntryKind.IMPORT_CONFIRMED, data__import=row.pk).get()
    later = Entry.objects.of(row.company).filter(person__source=row, number__gt=confirmed.number)
    found = later.select_related("person").order_by("number").first()
    if found is not None:
        kind = KIND_WORDS[EntryKind(found.kind)]
        raise Refused("crewlist.undo_rests", person=str(found.person), date=found.happened_on, kind=kind)


@transaction.atomic
def discard_import(*, by: Actor, crew_import: CrewImport) -> None:
    """Throw away a list that was never brought in, with all the data in it."""
    _open_import(by, crew_import).delete()


def _open_import(by: Actor, crew_import: CrewImport) -> CrewImport:
    row = _locked(by, crew_import)
    if row.confirmed_at is not None:
        raise Refused("crewlist.confirmed")
    return row


def _locked(by: Actor, crew_import: CrewImport) -> CrewImport:
    """The list as it is now, held until commit: two officers may press a button at the same time."""
    check_officer(by)
    check_same_company(by, crew_import.company_id)
    return CrewImport.objects.select_for_update(of=("self",)).select_related("company").get(pk=crew_import.pk)
