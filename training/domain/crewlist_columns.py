"""Which column of a crew list holds what: by the words over it in English or Spanish, else by what is in it."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from statistics import median

from training.domain.dates import looks_like_date
from training.domain.messages import Message
from training.domain.names import fold, given_share
from training.domain.phones import looks_like_phone
from training.domain.table import Cell, Row, Table, letter, text_of


class Field(StrEnum):
    """What a column of a crew list can hold."""

    GIVEN = "given"
    MIDDLE = "middle"
    FAMILY = "family"
    SECOND_FAMILY = "second_family"
    FULL = "full"
    PHONE = "phone"
    LANGUAGE = "language"
    CREW = "crew"
    HIRED = "hired"
    BORN = "born"
    NUMBER = "number"
    EMAIL = "email"


NAMES = (Field.FULL, Field.GIVEN, Field.MIDDLE, Field.FAMILY, Field.SECOND_FAMILY)
DATES = (Field.HIRED, Field.BORN)
LANGUAGES = {
    "en": "en eng english ingles e i in usa inglish ingl",
    "es": "es esp spa sp span spanish espanol castellano s espanyol",
}
LANGUAGE_WORDS = {word: code for code, words in LANGUAGES.items() for word in words.split()}
BOTH_LANGUAGES = frozenset({"both", "ambos", "bilingual", "bilingue", "los dos", "en es", "es en", "english spanish"})

# Looked for in this order in the folded header, so that `phone number` is no employee number.
_HEADERS: tuple[tuple[Field, str], ...] = (
    (Field.EMAIL, r"\b(e ?mails?|mail|correos?)\b"),
    (
        Field.PHONE,
        r"\b(tele?phones?|phones?|tel|tels|telf|tlf|telefonos?|celular(es)?|cel|cell|movil|mobile|whatsapp)\b",
    ),
    (Field.BORN, r"\b(nacimiento|nac|nacido|birth|birthday|birthdate|born|dob|cumpleanos)\b"),
    (
        Field.HIRED,
        r"\b(hire|hired|hiring|employed|employment|empleo|doh|ingreso|alta"
        r"|contratad[oa]|contratacion|inicio|start|started|since|desde)\b",
    ),
    (Field.LANGUAGE, r"\b(language|languages|lang|idiomas?|lengua|speaks|habla)\b"),
    (Field.CREW, r"\b(crew|crews|cuadrillas?|equipo|team|gang|grupo|brigada|squad)\b"),
    (Field.FULL, r"\b(nombre completo|nombres? y apellidos?|apellidos?( y)? nombres?|full ?name|complete name)\b"),
    (Field.FULL, r"\b((last|family|sur) ?(name )?(and )?(first|given)( ?names?)?|first( name)? and last( name)?)\b"),
    (
        Field.NUMBER,
        r"\b(badge|payroll|nomina|legajo|matricula|clave|ficha|(employee|emp|worker) (id|no|num|number|n))\b",
    ),
    (Field.NUMBER, r"\b(n|no|num|numero) (de )?(empleado|trabajador|emp)\b|^id$"),
    (
        Field.SECOND_FAMILY,
        r"\b(materno|segundo apellido|(second|2nd) (last|family|sur) ?name|apellido 2|2 ?o? apellido)\b",
    ),
    (Field.MIDDLE, r"\b(middle|segundo nombre|nombre 2)\b"),
    (Field.FAMILY, r"\b(apellidos?|paterno|surnames?|last ?names?|family ?names?|last|family)\b"),
    (Field.FULL, r"^(employees?( name)?|workers?|trabajador(es)?|empleados?|personas?|person)$"),
    (Field.GIVEN, r"\b(given|first|forenames?|nombres?|names?)\b"),
)
_FAMILY_FIRST = re.compile(r"^(apellidos?|last|family|sur)")
# Other people's numbers, and data Headlap must not keep.
_NOT_OURS = re.compile(r"\b(emergency|emergencia|contacto?|spouse|supervisor|foreman|capataz|jefe)\b")
_NOT_KEPT = re.compile(
    r"\b(ssn|itin|social security|seguro social|nss|curp|rfc|immigration|migratori[oa]|visa|passport)\b"
)
_EMAIL = re.compile(r"[^@\s]+@[^@\s]+\.[^@\s]{2,}")
_HEADER_SEARCH = 15
_MOSTLY = 0.6


class Kind(StrEnum):
    """What a cell looks like, whatever its column says."""

    PHONE = "phone"
    DATE = "date"
    EMAIL = "email"
    LANGUAGE = "language"
    NUMBER = "number"
    NAME = "name"


FITS: Mapping[Field, frozenset[Kind]] = {
    **dict.fromkeys(NAMES, frozenset({Kind.NAME})),
    Field.PHONE: frozenset({Kind.PHONE}),
    Field.LANGUAGE: frozenset({Kind.LANGUAGE, Kind.NAME}),
    Field.CREW: frozenset({Kind.NAME, Kind.NUMBER, Kind.LANGUAGE}),
    Field.HIRED: frozenset({Kind.DATE}),
    Field.BORN: frozenset({Kind.DATE}),
    Field.NUMBER: frozenset({Kind.NUMBER, Kind.PHONE, Kind.NAME, Kind.LANGUAGE}),
    Field.EMAIL: frozenset({Kind.EMAIL}),
}


@dataclass(frozen=True)
class Column:
    """One column of the file: where it is, what stands over it, the first cells in it."""

    index: int
    header: str = ""
    samples: tuple[str, ...] = ()

    @property
    def letter(self) -> str:
        return letter(self.index)


@dataclass(frozen=True)
class Layout:
    """How a list is to be read. `header_row` is a row number, None when the list starts with people."""

    header_row: int | None
    columns: tuple[Column, ...]
    fields: Mapping[int, Field]
    family_first: bool = False
    notes: tuple[Message, ...] = field(default=())

    def column_of(self, wanted: Field) -> Column | None:
        """The column that holds a field, if one does."""
        return next((column for column in self.columns if self.fields.get(column.index) is wanted), None)


def guess_layout(table: Table) -> Layout:
    """The likeliest reading of a list, for its reader to accept or change."""
    header = _header_row(table)
    columns = _columns(table, header)
    fields = _by_header(columns)
    notes = tuple(
        Message("crewlist.column.not_kept", {"column": column.letter, "header": column.header})
        for column in columns
        if _NOT_KEPT.search(fold(column.header))
    )
    fields = _without_counter(table, header, columns, fields)
    fields |= _by_content(table, header, columns, fields)
    full = next((column for column in columns if fields.get(column.index) is Field.FULL), None)
    family_first = full is not None and bool(_FAMILY_FIRST.search(fold(full.header)))
    return Layout(header.number if header else None, columns, fields, family_first, notes)


def layout_with(table: Table, header_row: int | None, fields: Mapping[int, Field], family_first: bool) -> Layout:
    """The layout its reader chose."""
    header = next((row for row in table.rows if row.number == header_row), None)
    return Layout(header_row, _columns(table, header), dict(fields), family_first)


def _header_row(table: Table) -> Row | None:
    """The row with the most words that name a field, among the first ones; two at least, titles have one."""
    best, most = None, min(2, table.width) - 1
    for row in table.rows[:_HEADER_SEARCH]:
        found = {field_of(cell) for cell in row.cells if isinstance(cell, str)} - {None}
        if len(found) > most:
            best, most = row, len(found)
    return best


def field_of(header: str) -> Field | None:
    """The field a header names, None for one that names none or somebody else's."""
    words = fold(header)
    if len(words) > 60 or _NOT_OURS.search(words) or _NOT_KEPT.search(words):
        return None
    return next((found for found, pattern in _HEADERS if re.search(pattern, words)), None)


def _columns(table: Table, header: Row | None) -> tuple[Column, ...]:
    body = list(table.after(header.number if header else None))
    columns = []
    for index in range(table.width):
        texts = [text for row in body[:50] if (text := text_of(row.cell(index)))]
        columns.append(Column(index, text_of(header.cell(index)) if header else "", tuple(texts[:3])))
    return tuple(column for column in columns if column.header or column.samples)


def _by_header(columns: Iterable[Column]) -> dict[int, Field]:
    fields: dict[int, Field] = {}
    for column in columns:
        found = field_of(column.header)
        if found is not None and found not in fields.values():
            fields[column.index] = found
    # `Nombre` beside `Apellidos` is the given name; alone it is the whole name.
    if Field.FAMILY not in fields.values():
        for index, found in fields.items():
            if found is Field.GIVEN and Field.FULL not in fields.values() and _bare_name(columns, index):
                fields[index] = Field.FULL
    return fields


def _bare_name(columns: Iterable[Column], index: int) -> bool:
    header = next(column.header for column in columns if column.index == index)
    return fold(header) in {"name", "names", "nombre", "nombres"}


def _without_counter(
    table: Table, header: Row | None, columns: Iterable[Column], fields: dict[int, Field]
) -> dict[int, Field]:
    """A column that counts 1, 2, 3 under a vague header is no employee number."""
    kept = dict(fields)
    for column in columns:
        if fold(column.header) in {"id", "no", "n", "num"} and _counts_up(_cells(table, header, column.index)):
            kept.pop(column.index, None)
    return kept


def _counts_up(cells: list[Cell]) -> bool:
    numbers = [text for cell in cells if (text := text_of(cell)).isdigit()]
    return bool(numbers) and numbers == [str(number) for number in range(1, len(numbers) + 1)]


def _cells(table: Table, header: Row | None, index: int) -> list[Cell]:
    return [row.cell(index) for row in table.after(header.number if header else None)]


def _by_content(
    table: Table, header: Row | None, columns: Iterable[Column], fields: Mapping[int, Field]
) -> dict[int, Field]:
    """Fields for columns whose header says nothing known. A header that names something else keeps its column out."""
    free = [column for column in columns if column.index not in fields and (header is None or not fold(column.header))]
    left = [found for found in Field if found not in fields.values()]
    guessed: dict[int, Field] = {}
    for column in free:
        found = _likely(_cells(table, header, column.index), left)
        if found is not None:
            guessed[column.index] = found
            taken = NAMES if found is Field.FULL else (found,)
            left = [other for other in left if other not in taken]
    return _settled(table, header, guessed)


def _likely(cells: list[Cell], left: list[Field]) -> Field | None:
    kind = main_kind(cells)
    texts = [text_of(cell) for cell in cells if text_of(cell)]
    wanted: tuple[Field, ...] = (
        {
            Kind.PHONE: (Field.PHONE,),
            Kind.EMAIL: (Field.EMAIL,),
            Kind.LANGUAGE: (Field.LANGUAGE,),
            Kind.NUMBER: () if _counts_up(cells) else (Field.NUMBER,),
            Kind.DATE: DATES,
            Kind.NAME: _text_fields(texts),
        }.get(kind, ())
        if kind
        else ()
    )
    return next((found for found in wanted if found in left), None)


def _text_fields(texts: list[str]) -> tuple[Field, ...]:
    if len(texts) >= 6 and len({fold(text) for text in texts}) <= len(texts) / 3 and given_share(texts) < 0.3:
        return (Field.CREW,)
    words = median(len(text.split()) for text in texts)
    commas = sum("," in text for text in texts) > len(texts) / 2
    if given_share(texts) >= 0.4 or commas:
        return (Field.FULL,) if words >= 2 and (commas or words > 2) else (Field.GIVEN, Field.FAMILY)
    return (Field.FAMILY, Field.CREW)


def _settled(table: Table, header: Row | None, guessed: dict[int, Field]) -> dict[int, Field]:
    """Given names with no family column beside them are whole names; of two date columns the older is of birth."""
    held = {found: index for index, found in guessed.items()}
    if Field.GIVEN in held and Field.FAMILY not in held:
        guessed[held[Field.GIVEN]] = Field.FULL
    if Field.HIRED in held and Field.BORN in held:
        hired, born = (_middle_year(_cells(table, header, held[found])) for found in DATES)
        if hired < born:
            guessed[held[Field.HIRED]], guessed[held[Field.BORN]] = Field.BORN, Field.HIRED
    return guessed


def _middle_year(cells: list[Cell]) -> float:
    years = [int(year[0]) for cell in cells if (year := re.findall(r"\d{4}", text_of(cell)))]
    return median(years) if years else 0.0


def kind_of(cell: Cell) -> Kind | None:
    """What the cell looks like; None for a blank one or one that looks like nothing known."""
    text = text_of(cell)
    if not text:
        return None
    if isinstance(cell, date) or looks_like_date(text):
        return Kind.DATE
    if _EMAIL.fullmatch(text):
        return Kind.EMAIL
    if fold(text) in LANGUAGE_WORDS or fold(text) in BOTH_LANGUAGES:
        return Kind.LANGUAGE
    if looks_like_phone(text):
        return Kind.PHONE
    if any(character.isdigit() for character in text):
        return Kind.NUMBER if len(text) <= 20 else None
    return Kind.NAME if any(character.isalpha() for character in text) else None


def main_kind(cells: Iterable[Cell]) -> Kind | None:
    """What most cells of a column look like, blanks not counted."""
    kinds = Counter(kind_of(cell) for cell in cells if text_of(cell))
    if not kinds:
        return None
    kind, count = kinds.most_common(1)[0]
    return kind if count >= _MOSTLY * sum(kinds.values()) else None


def missing(fields: Mapping[int, Field]) -> tuple[Message, ...]:
    """What keeps a choice of columns from being used: no name, or one field twice."""
    problems = [
        Message("crewlist.columns.twice", {"field": Message(f"crewlist.field.{found}")})
        for found, count in Counter(fields.values()).items()
        if count > 1
    ]
    if not {Field.FULL, Field.GIVEN, Field.FAMILY} & set(fields.values()):
        problems.append(Message("crewlist.columns.no_name"))
    if Field.FULL in fields.values() and {Field.GIVEN, Field.FAMILY} & set(fields.values()):
        problems.append(Message("crewlist.columns.full_and_parts"))
    return tuple(problems)


def doubts(table: Table, layout: Layout) -> tuple[Message, ...]:
    """Columns that do not look like what they are said to hold, with a guess which two were exchanged."""
    kinds = {
        column.index: main_kind(row.cell(column.index) for row in table.after(layout.header_row))
        for column in layout.columns
    }
    wrong = [
        column
        for column in layout.columns
        if column.index in layout.fields
        and (kind := kinds[column.index]) is not None
        and kind not in FITS[layout.fields[column.index]]
    ]
    return (*(_doubt(column, wrong, kinds, layout) for column in wrong), *_swapped_names(table, layout))


def _doubt(column: Column, wrong: list[Column], kinds: Mapping[int, Kind | None], layout: Layout) -> Message:
    mine = layout.fields[column.index]
    values: dict[str, object] = {
        "column": column.letter,
        "header": column.header or column.letter,
        "field": Message(f"crewlist.field.{mine}"),
        "looks": Message(f"crewlist.kind.{kinds[column.index]}"),
    }
    for other in wrong:
        if other is not column and kinds[other.index] in FITS[mine]:
            return Message("crewlist.columns.swapped", values | {"other": other.letter})
    return Message("crewlist.column.looks_like", values)


def _swapped_names(table: Table, layout: Layout) -> tuple[Message, ...]:
    given, family = layout.column_of(Field.GIVEN), layout.column_of(Field.FAMILY)
    if given is None or family is None:
        return ()
    rows = list(table.after(layout.header_row))
    shares = [given_share(text_of(row.cell(column.index)) for row in rows) for column in (given, family)]
    if len(rows) < 3 or shares[1] - shares[0] < 0.4:
        return ()
    return (Message("crewlist.columns.names_swapped", {"one": given.letter, "other": family.letter}),)
