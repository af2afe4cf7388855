"""A crew list read row by row: people where the cells allow it, and a note on every cell that needs a person's eye.

Nothing is decided here that cannot be undone by the reader: a note names the row and the column as the file shows
them and says what to do; a typed correction (`fixes`) takes the place of the cell.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from training.domain import phones
from training.domain.crewlist_columns import (
    BOTH_LANGUAGES,
    DATES,
    FITS,
    LANGUAGE_WORDS,
    NAMES,
    Column,
    Field,
    Kind,
    Layout,
    kind_of,
)
from training.domain.dates import Order, age_on, infer_order, parse_date, turned_by_spreadsheet
from training.domain.errors import BadInput
from training.domain.messages import Message
from training.domain.names import Name, clean_name, fold, split_full
from training.domain.table import Cell, Row, Table, text_of

ROOF_WORK_AGE = 18
"""Years; under it roofing work is barred, apprentices and student-learners excepted: 29 CFR 570.67 (Order 16)."""
YOUNGEST, OLDEST = 14, 100
"""Ages outside which a date of birth is taken for a slip. Common practice, no source."""
BLANK = "-"
"""A correction that empties its cell."""
LONGEST_NUMBER, LONGEST_CREW, LONGEST_EMAIL = 30, 60, 254

_BLANKS = frozenset(("", "na", "n a", "none", "ninguno", "ninguna", "sn", "s n", "sd", "s d", "nd", "n d", "no tiene"))
_EXCEL_ERROR = re.compile(r"#(REF!|N/A|VALUE!|DIV/0!|NAME\?|NUM!|NULL!|¡?[A-Z]+[!?])")
_EMAIL = re.compile(r"[A-Za-z0-9._%+'-]+@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*\.[A-Za-z]{2,}")


@dataclass(frozen=True)
class Settings:
    """What holds for the whole list: the day, the company's defaults, how its dates and full names are written."""

    today: date
    starts: date
    region: str = "US"
    language: str = "en"
    order: Order | None = None
    family_first: bool = False


@dataclass(frozen=True)
class Candidate:
    """A person as read from one row."""

    given: str
    family: str = ""
    phone: str = ""
    language: str = "en"
    crew: str = ""
    hired: date | None = None
    born: date | None = None
    number: str = ""
    email: str = ""

    @property
    def name(self) -> Name:
        return Name(self.given, self.family)


@dataclass(frozen=True)
class Note:
    """Something about one cell. A fault keeps its row from being imported until it is put right or left out."""

    row: int
    field: Field
    column: str
    header: str
    typed: str
    message: Message
    fault: bool = True


@dataclass(frozen=True)
class ReadRow:
    """One row of the list as read."""

    number: int
    person: Candidate
    notes: tuple[Note, ...] = ()

    @property
    def faults(self) -> tuple[Note, ...]:
        return tuple(note for note in self.notes if note.fault)

    @property
    def warnings(self) -> tuple[Note, ...]:
        return tuple(note for note in self.notes if not note.fault)


@dataclass(frozen=True)
class _Reader:
    """Reads the cells of one row; collects what it has to say about them."""

    row: Row
    layout: Layout
    settings: Settings
    orders: Mapping[Field, Order | None]
    fixes: Mapping[str, str]
    notes: list[Note] = field(default_factory=list)

    def fix(self, wanted: Field) -> str | None:
        return self.fixes.get(f"{self.row.number}:{wanted}")

    def cell(self, wanted: Field) -> Cell:
        """The cell of a field, or what was typed in its place; blank markers such as `N/A` are blank."""
        column = self.layout.column_of(wanted)
        typed = self.fix(wanted)
        cell = typed if typed is not None else self.row.cell(column.index) if column else None
        # Na and Sa are surnames: in a name only a dash is blank.
        blanks = frozenset(("",)) if wanted in NAMES else _BLANKS
        return None if isinstance(cell, str) and fold(cell) in blanks and not _is_error(cell) else cell

    def note(self, wanted: Field, message: Message, *, fault: bool = True, typed: str | None = None) -> None:
        column = self.layout.column_of(wanted) or _name_column(self.layout, wanted)
        shown = text_of(self.cell(wanted)) if typed is None else typed
        place = (column.letter, column.header) if column else ("", "")
        self.notes.append(Note(self.row.number, wanted, *place, shown, message, fault))

    def order(self, wanted: Field) -> Order | None:
        """How a date cell is to be read. A correction is read as its column is."""
        return self.settings.order or self.orders.get(wanted)


def read_list(
    table: Table, layout: Layout, settings: Settings, fixes: Mapping[str, str] | None = None
) -> tuple[ReadRow, ...]:
    """Every row with something in it, in the file's order. `fixes` are typed corrections under `row:field`."""
    orders = {wanted: infer_order(_column(table, layout, wanted)) for wanted in DATES}
    return tuple(
        _read_row(_Reader(row, layout, settings, orders, fixes or {}))
        for row in table.after(layout.header_row)
        if not _is_empty(row, layout) and not _repeats_header(row, layout)
    )


def notes_on_columns(table: Table, layout: Layout) -> tuple[Message, ...]:
    """What only a whole column shows: dates turned round by a spreadsheet set to another country."""
    return tuple(
        Message("crewlist.column.dates_turned", {"column": column.letter, "header": column.header or column.letter})
        for wanted in DATES
        if (column := layout.column_of(wanted)) and turned_by_spreadsheet(_column(table, layout, wanted))
    )


def _column(table: Table, layout: Layout, wanted: Field) -> list[str | int | float | date | None]:
    column = layout.column_of(wanted)
    return [row.cell(column.index) for row in table.after(layout.header_row)] if column else []


def _is_empty(row: Row, layout: Layout) -> bool:
    """True when none of the columns in use holds anything: notes and totals at the side make no person."""
    return all(text_of(row.cell(index)) == "" for index in layout.fields)


def _repeats_header(row: Row, layout: Layout) -> bool:
    """True for the headings printed again on each page of a long list."""
    if layout.header_row is None:
        return False
    headers = [column.header for column in layout.columns if column.index in layout.fields]
    cells = [text_of(row.cell(column.index)) for column in layout.columns if column.index in layout.fields]
    return [fold(cell) for cell in cells] == [fold(header) for header in headers]


def _read_row(reader: _Reader) -> ReadRow:
    name = _name(reader)
    person = Candidate(
        given=name.given,
        family=name.family,
        phone=_phone(reader),
        language=_language(reader),
        crew=_text(reader, Field.CREW, LONGEST_CREW),
        hired=_hired(reader),
        born=_born(reader),
        number=_text(reader, Field.NUMBER, LONGEST_NUMBER),
        email=_email(reader),
    )
    if person.born and person.hired and person.hired < person.born:
        reader.note(Field.HIRED, Message("crewlist.hired.before_birth", {"born": person.born}))
    return ReadRow(reader.row.number, person, tuple(reader.notes))


# Names


def _name(reader: _Reader) -> Name:
    given, family = _typed_names(reader)
    if not given and not family:
        place = Field.FULL if reader.layout.column_of(Field.FULL) else Field.GIVEN
        reader.note(place, Message("crewlist.name.missing"), typed="")
        return Name("", "")
    if not given:
        given, family = family, ""
    clean = Name(_clean(reader, Field.GIVEN, given), _clean(reader, Field.FAMILY, family) if family else "")
    if not family and clean.given:
        reader.note(Field.FAMILY, Message("crewlist.name.one"), fault=False, typed=clean.given)
    return clean


def _typed_names(reader: _Reader) -> tuple[str, str]:
    """Given and family names as they stand in the row, corrections first."""
    given, family = reader.fix(Field.GIVEN), reader.fix(Field.FAMILY)
    corrected = given is not None or family is not None
    found = _names_in_cells(reader, noted=not corrected)
    return found[0] if given is None else given, found[1] if family is None else family


def _names_in_cells(reader: _Reader, *, noted: bool) -> tuple[str, str]:
    """The two parts as they have their columns, or split out of one cell that holds them all."""
    given = _joined(reader, Field.GIVEN, Field.MIDDLE)
    family = _joined(reader, Field.FAMILY, Field.SECOND_FAMILY)
    whole = _cell_text(reader, Field.FULL)
    if not whole and reader.layout.column_of(Field.GIVEN) and reader.layout.column_of(Field.FAMILY):
        whole = "" if given and family else given or family
        whole = whole if len(whole.split()) > 1 else ""
    if not whole:
        return given, family
    name, certain = split_full(whole, family_first=reader.settings.family_first)
    if noted and name.family and not (certain and reader.layout.column_of(Field.FULL)):
        place = Field.FULL if reader.layout.column_of(Field.FULL) else Field.GIVEN
        values = {"given": name.given, "family": name.family}
        reader.note(place, Message("crewlist.name.split", values), fault=False, typed=whole)
    return name.given, name.family


def _joined(reader: _Reader, *wanted: Field) -> str:
    return " ".join(text for one in wanted if (text := _cell_text(reader, one)))


def _cell_text(reader: _Reader, wanted: Field) -> str:
    return text_of(reader.cell(wanted)) if reader.layout.column_of(wanted) else ""


def _clean(reader: _Reader, wanted: Field, text: str) -> str:
    try:
        _refuse_errors(text)
        return clean_name(text)
    except BadInput as error:
        kind = kind_of(text)
        odd = kind in (Kind.PHONE, Kind.DATE, Kind.EMAIL)
        reader.note(wanted, _looks_like(wanted, kind) if odd and kind else error.message, typed=text)
        return ""


def _name_column(layout: Layout, wanted: Field) -> Column | None:
    """A part of a name comes from the column of whole names where there is one."""
    return layout.column_of(Field.FULL) if wanted in NAMES else None


# The other cells


def _phone(reader: _Reader) -> str:
    text = text_of(reader.cell(Field.PHONE))
    if not text:
        return ""
    try:
        _refuse_errors(text)
        number = phones.parse_phone(text, reader.settings.region)
    except BadInput as error:
        _fault(reader, Field.PHONE, error)
        return ""
    if phones.doubtful(number):
        reader.note(Field.PHONE, Message("crewlist.phone.doubtful", {"typed": text}), fault=False)
    return number


def _language(reader: _Reader) -> str:
    text = text_of(reader.cell(Field.LANGUAGE))
    words = fold(text)
    if not words:
        return reader.settings.language
    if words in BOTH_LANGUAGES:
        chosen = Message(f"crewlist.language.{reader.settings.language}")
        reader.note(Field.LANGUAGE, Message("crewlist.language.both", {"chosen": chosen}), fault=False)
        return reader.settings.language
    found = LANGUAGE_WORDS.get(words)
    if found is None:
        kind = kind_of(text)
        odd = kind is not None and kind not in FITS[Field.LANGUAGE]
        unknown = Message("crewlist.language.unknown", {"typed": text})
        reader.note(Field.LANGUAGE, _looks_like(Field.LANGUAGE, kind) if odd and kind else unknown)
    return found or reader.settings.language


def _hired(reader: _Reader) -> date:
    return (
        _date(reader, Field.HIRED, date(reader.settings.today.year - OLDEST + YOUNGEST, 1, 1)) or reader.settings.starts
    )


def _born(reader: _Reader) -> date | None:
    today = reader.settings.today
    born = _date(reader, Field.BORN, date(today.year - OLDEST, 1, 1))
    if born is None:
        return None
    age = age_on(born, today)
    if age < YOUNGEST:
        reader.note(Field.BORN, Message("crewlist.born.too_young", {"age": age, "born": born}))
        return None
    if age < ROOF_WORK_AGE:
        values = {"age": age, "limit": ROOF_WORK_AGE}
        reader.note(Field.BORN, Message("crewlist.born.under_age", values), fault=False)
    return born


def _date(reader: _Reader, wanted: Field, earliest: date) -> date | None:
    cell = reader.cell(wanted)
    if cell is None or isinstance(cell, bool) or text_of(cell) == "":
        return None
    today = reader.settings.today
    try:
        _refuse_errors(text_of(cell))
        typed = text_of(cell) if isinstance(cell, str) else cell
        return parse_date(typed, today=today, order=reader.order(wanted), latest=today, earliest=earliest)
    except BadInput as error:
        _fault(reader, wanted, error)
        return None


def _text(reader: _Reader, wanted: Field, longest: int) -> str:
    text = text_of(reader.cell(wanted))
    try:
        _refuse_errors(text)
        if len(text) > longest:
            raise BadInput("crewlist.cell.too_long", longest=longest, length=len(text))
        if not all(character.isprintable() for character in text):
            raise BadInput("crewlist.cell.control")
    except BadInput as error:
        _fault(reader, wanted, error)
        return ""
    if wanted is Field.CREW and kind_of(text) in (Kind.PHONE, Kind.DATE, Kind.EMAIL):
        reader.note(wanted, _looks_like(wanted, kind_of(text)))
        return ""
    return text


def _email(reader: _Reader) -> str:
    text = text_of(reader.cell(Field.EMAIL)).removeprefix("mailto:")
    if not text:
        return ""
    if len(text) > LONGEST_EMAIL or not _EMAIL.fullmatch(text) or ".." in text:
        _fault(reader, Field.EMAIL, BadInput("crewlist.email.unreadable", typed=text))
        return ""
    return text


def _fault(reader: _Reader, wanted: Field, error: BadInput) -> None:
    """Note the refusal; where the cell plainly is something else, say so instead: columns get exchanged."""
    kind = kind_of(reader.cell(wanted))
    odd = kind in (Kind.PHONE, Kind.DATE, Kind.EMAIL, Kind.LANGUAGE) and kind not in FITS[wanted]
    reader.note(wanted, _looks_like(wanted, kind) if odd else error.message)


def _looks_like(wanted: Field, kind: Kind | None) -> Message:
    values = {"looks": Message(f"crewlist.kind.{kind}"), "field": Message(f"crewlist.field.{wanted}")}
    return Message("crewlist.cell.looks_like", values)


def _is_error(text: str) -> bool:
    return bool(_EXCEL_ERROR.fullmatch(text.strip()))


def _refuse_errors(text: str) -> None:
    if _is_error(text):
        raise BadInput("crewlist.cell.formula_error", typed=text)


def crew_names(rows: Iterable[ReadRow]) -> dict[str, str]:
    """The crews named in the list: folded name to the spelling met first."""
    found: dict[str, str] = {}
    for row in rows:
        if row.person.crew:
            found.setdefault(fold(row.person.crew) or row.person.crew, row.person.crew)
    return found
