"""A crew list: columns found, cells read, every bad one named by row and column."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

from training.domain import crewlist, crewlist_columns
from training.domain.crewlist import ReadRow, Settings, read_list
from training.domain.crewlist_columns import Field, guess_layout, layout_with
from training.domain.dates import Order
from training.domain.table import Cell, Table, letter, table

TODAY = date(2026, 11, 25)
SETTINGS = Settings(today=TODAY, starts=TODAY)
HEAD = ["#", "Nombre", "Apellidos", "Cel.", "Idioma", "Cuadrilla", "F. nac.", "Fecha de ingreso"]
GOOD = [1, "José", "Pérez Álvarez", "305-555-0101", "español", "Crew A", "14/02/1988", date(2020, 3, 4)]


def _read(
    *lines: list[Cell], fixes: dict[str, str] | None = None, settings: Settings = SETTINGS
) -> tuple[ReadRow, ...]:
    sheet = table([HEAD, *lines])
    return read_list(sheet, guess_layout(sheet), settings, fixes)


def _with(**cells: Cell) -> list[Cell]:
    """The good row with other cells, by column letter."""
    return [cells.get(letter(index), cell) for index, cell in enumerate(GOOD)]


def _notes(row: ReadRow) -> list[tuple[str, str, bool]]:
    return [(note.column, note.message.key, note.fault) for note in row.notes]


@given(st.integers(0, 16_383))
def test_columns_are_lettered_as_spreadsheets_do(index: int) -> None:
    assert letter(index) == get_column_letter(index + 1)


def test_a_table_survives_being_stored() -> None:
    sheet = table([["Ana", 1, 2.5, True, None, date(2020, 1, 2)], [], ["", " "], ["x"]])
    assert [row.number for row in sheet.rows] == [1, 4]
    assert Table.from_json(sheet.to_json()) == sheet


@pytest.mark.parametrize(
    ("header", "field"),
    [
        ("First name", Field.GIVEN),
        ("Last Name", Field.FAMILY),
        ("NOMBRE(S)", Field.GIVEN),
        ("Apellido paterno", Field.FAMILY),
        ("Apellido materno", Field.SECOND_FAMILY),
        ("Nombre y apellidos", Field.FULL),
        ("Employee", Field.FULL),
        ("Trabajador", Field.FULL),
        ("Phone number", Field.PHONE),
        ("Teléfono móvil", Field.PHONE),
        ("Language", Field.LANGUAGE),
        ("Cuadrilla", Field.CREW),
        ("Nombre de la cuadrilla", Field.CREW),
        ("Hire date", Field.HIRED),
        ("Fecha de alta", Field.HIRED),
        ("D.O.B.", None),
        ("DOB", Field.BORN),
        ("Fecha de nacimiento", Field.BORN),
        ("Employee No.", Field.NUMBER),
        ("Núm. de empleado", Field.NUMBER),
        ("Correo electrónico", Field.EMAIL),
        ("Emergency contact phone", None),
        ("SSN", None),
        ("Seguro social", None),
        ("Shirt size", None),
    ],
)
def test_headers_are_known_in_both_languages(header: str, field: Field | None) -> None:
    """Common practice, no source: headings as offices write them."""
    found = crewlist_columns.field_of(header)
    assert found is None if field is None else found is field


def test_title_rows_above_the_headings_are_passed_over() -> None:
    sheet = table([["Tolvane Roofing, crew list"], [], HEAD, GOOD])
    layout = guess_layout(sheet)
    assert layout.header_row == 3
    assert {letter(index): field.value for index, field in layout.fields.items()} == {
        "B": "given",
        "C": "family",
        "D": "phone",
        "E": "language",
        "F": "crew",
        "G": "born",
        "H": "hired",
    }


def test_a_list_without_headings_is_read_by_what_is_in_it() -> None:
    sheet = table(
        [
            ["Pérez Gil, José", "305-555-0101", "04/13/1990", "04/13/2020", "es", "jose@example.com"],
            ["Ruiz, Ana", "305-555-0102", "04/14/1985", "04/14/2021", "en", "ana@example.com"],
        ]
    )
    fields = guess_layout(sheet).fields
    assert [str(fields[index]) for index in range(6)] == ["full", "phone", "born", "hired", "language", "email"]


def test_name_alone_is_the_whole_name_and_beside_a_surname_the_given_one() -> None:
    alone = guess_layout(table([["Nombre", "Tel"], ["José Pérez", "3055550101"]]))
    beside = guess_layout(table([["Nombre", "Apellido"], ["José", "Pérez"]]))
    assert (alone.fields[0], beside.fields[0]) == (Field.FULL, Field.GIVEN)


def test_data_that_must_not_be_kept_is_named_and_left_out() -> None:
    layout = guess_layout(table([["Name", "SSN", "Phone"], ["Ana Ruiz", "x", "3055550101"]]))
    assert 1 not in layout.fields
    assert [note.key for note in layout.notes] == ["crewlist.column.not_kept"]


def test_exchanged_columns_are_pointed_out() -> None:
    sheet = table(
        [["Name", "Phone", "Birth date"], *[["Ana Ruiz", f"4/{day}/1988", f"305-555-01{day}"] for day in (10, 11, 12)]]
    )
    keys = {(note.values["column"], note.key) for note in crewlist_columns.doubts(sheet, guess_layout(sheet))}
    assert keys == {("B", "crewlist.columns.swapped"), ("C", "crewlist.columns.swapped")}


def test_a_column_that_does_not_hold_what_it_says_is_pointed_out() -> None:
    sheet = table([["Name", "Phone"], *[["Ana Ruiz", f"4/{day}/1988"] for day in (10, 11, 12)]])
    (note,) = crewlist_columns.doubts(sheet, guess_layout(sheet))
    assert (note.key, note.values["column"]) == ("crewlist.column.looks_like", "B")


def test_given_and_family_columns_the_wrong_way_round_are_pointed_out() -> None:
    sheet = table([["First name", "Last name"], ["Pérez", "José"], ["Gómez", "Luis"], ["Ibarra", "Carmen"]])
    assert [note.key for note in crewlist_columns.doubts(sheet, guess_layout(sheet))] == [
        "crewlist.columns.names_swapped"
    ]


def test_columns_must_give_a_name_once() -> None:
    keys = [note.key for note in crewlist_columns.missing({0: Field.PHONE, 1: Field.PHONE})]
    assert keys == ["crewlist.columns.twice", "crewlist.columns.no_name"]
    assert [n.key for n in crewlist_columns.missing({0: Field.FULL, 1: Field.GIVEN})] == [
        "crewlist.columns.full_and_parts"
    ]


def test_a_good_row_becomes_a_person() -> None:
    (row,) = _read(GOOD)
    assert not row.notes
    person = row.person
    assert (person.given, person.family, person.phone, person.language) == (
        "José",
        "Pérez Álvarez",
        "+13055550101",
        "es",
    )
    assert (person.crew, person.born, person.hired) == ("Crew A", date(1988, 2, 14), date(2020, 3, 4))


def test_two_surnames_may_have_a_column_each() -> None:
    sheet = table([["Nombre", "Apellido paterno", "Apellido materno"], ["José", "Pérez", "Álvarez"]])
    (row,) = read_list(sheet, guess_layout(sheet), SETTINGS)
    assert (row.person.given, row.person.family) == ("José", "Pérez Álvarez")


def test_blank_rows_and_repeated_headings_are_passed_over_and_rows_keep_their_numbers() -> None:
    rows = _read(GOOD, [], HEAD, ["", None, " "], _with(B="Ana"))
    assert [row.number for row in rows] == [2, 6]


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ({"B": "", "C": ""}, ("B", "crewlist.name.missing", True)),
        ({"B": "Ana 🙂"}, ("B", "name.emoji", True)),
        ({"B": "305-555-0199"}, ("B", "crewlist.cell.looks_like", True)),
        ({"C": ""}, ("C", "crewlist.name.one", False)),
        ({"B": "José Luis Pérez", "C": None}, ("B", "crewlist.name.split", False)),
        ({"D": "555-0101"}, ("D", "phone.no_area_code", True)),
        ({"D": "14/02/1988"}, ("D", "crewlist.cell.looks_like", True)),
        ({"D": "#REF!"}, ("D", "crewlist.cell.formula_error", True)),
        ({"D": "555-555-0123"}, ("D", "crewlist.phone.doubtful", False)),
        ({"E": "Português"}, ("E", "crewlist.language.unknown", True)),
        ({"E": "ambos"}, ("E", "crewlist.language.both", False)),
        ({"F": "305-555-0101"}, ("F", "crewlist.cell.looks_like", True)),
        ({"F": "x" * 61}, ("F", "crewlist.cell.too_long", True)),
        ({"G": "30/02/1988"}, ("G", "date.impossible", True)),
        ({"G": "14/02/2030"}, ("G", "date.future", True)),
        ({"G": "14/02/2020"}, ("G", "crewlist.born.too_young", True)),
        ({"H": "2019"}, ("H", "date.year_only", True)),
        ({"H": "someday"}, ("H", "date.unreadable", True)),
        ({"H": date(1987, 1, 1)}, ("H", "crewlist.hired.before_birth", True)),
    ],
)
def test_every_bad_cell_is_named_by_its_column(cells: dict[str, Cell], expected: tuple[str, str, bool]) -> None:
    (row,) = _read(_with(**cells))
    assert _notes(row) == [expected]
    assert row.notes[0].row == 2
    assert row.notes[0].header == HEAD["ABCDEFGH".index(expected[0])]


def test_someone_under_eighteen_is_pointed_out_up_to_the_day_before_the_birthday() -> None:
    """29 CFR 570.67 (Hazardous Occupations Order 16): no roofing work under 18, apprentices excepted."""
    notes = [_notes(_read(_with(G=born))[0]) for born in (date(2008, 11, 26), date(2008, 11, 25))]
    assert notes == [[("G", "crewlist.born.under_age", False)], []]


def test_an_ambiguous_date_is_settled_by_its_column_or_by_the_reader() -> None:
    alone = _with(G="4/3/1988")
    assert _notes(_read(alone)[0]) == [("G", "date.ambiguous", True)]
    assert _read(alone, _with(G="25/3/1990"))[0].person.born == date(1988, 3, 4)
    month_first = Settings(today=TODAY, starts=TODAY, order=Order.MONTH_FIRST)
    assert _read(alone, settings=month_first)[0].person.born == date(1988, 4, 3)


@pytest.mark.parametrize("blank", ["", "N/A", "n/a", "-", "ninguno", "s/n", None, " "])
def test_blank_marks_are_blank_and_defaults_hold(blank: Cell) -> None:
    (row,) = _read(_with(D=blank, E=blank, F=blank, G=blank, H=blank))
    assert not row.notes
    assert (row.person.phone, row.person.language, row.person.crew, row.person.born) == ("", "en", "", None)
    assert row.person.hired == TODAY


def test_a_surname_that_looks_like_a_blank_mark_is_kept() -> None:
    assert _read(_with(C="Na"))[0].person.family == "Na"


@pytest.mark.parametrize("typed", ["es", "ESP", "Spanish", "Español", "castellano", "Esp."])
def test_spanish_is_known_by_many_spellings(typed: str) -> None:
    assert _read(_with(E=typed))[0].person.language == "es"


@pytest.mark.parametrize("typed", ["en", "ENG", "English", "Inglés", "ingles"])
def test_english_is_known_by_many_spellings(typed: str) -> None:
    assert _read(_with(E=typed), settings=Settings(TODAY, TODAY, language="es"))[0].person.language == "en"


def test_a_number_cell_that_a_spreadsheet_made_of_a_telephone_is_read() -> None:
    assert _read(_with(D=3055550101.0))[0].person.phone == "+13055550101"


def test_a_typed_correction_takes_the_place_of_the_cell() -> None:
    bad = _with(B="", C="", D="555-0101", G="30/02/1988")
    fixes = {"2:given": "Ana", "2:family": "Ruiz", "2:phone": "305 555 0101", "2:born": "28 feb 1988"}
    (row,) = _read(bad, fixes=fixes)
    assert not row.notes
    assert (row.person.given, row.person.phone, row.person.born) == ("Ana", "+13055550101", date(1988, 2, 28))


def test_dates_turned_round_by_a_spreadsheet_are_pointed_out() -> None:
    texts: list[list[Cell]] = [_with(H=text) for text in ("25/3/2020", "13/4/2020", "30/12/2019")]
    real: list[list[Cell]] = [_with(H=day) for day in (date(2020, 3, 4), date(2020, 12, 1), date(2019, 1, 12))]
    sheet = table([HEAD, *texts, *real])
    assert [note.key for note in crewlist.notes_on_columns(sheet, guess_layout(sheet))] == [
        "crewlist.column.dates_turned"
    ]


def test_a_chosen_layout_is_used_as_chosen() -> None:
    sheet = table([["x", "y"], ["Ruiz", "Ana"]])
    layout = layout_with(sheet, 1, {0: Field.FAMILY, 1: Field.GIVEN}, family_first=False)
    assert read_list(sheet, layout, SETTINGS)[0].person.name.full == "Ana Ruiz"


cells = st.none() | st.text(max_size=12) | st.integers() | st.floats(allow_nan=False) | st.dates() | st.booleans()


@example([[None] * 6 + [float("inf")]])
@given(st.lists(st.lists(cells, max_size=9), max_size=6))
def test_no_sheet_whatever_makes_the_reader_stumble(lines: list[list[Cell]]) -> None:
    sheet = table([HEAD, *lines])
    layout = guess_layout(sheet)
    for row in read_list(sheet, layout, SETTINGS):
        assert row.faults or row.person.given
    crewlist_columns.doubts(sheet, layout)
    guess_layout(table(lines))
