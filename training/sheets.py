"""Spreadsheets in and out: `.xlsx` and `.csv` into a table of cells, tables into an `.xlsx` that is safe to open.

An upload is judged before it is parsed: its size, its first bytes, and for a zip how much it would unpack to.
"""

from __future__ import annotations

import csv
import datetime
import io
import math
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO

from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell as SheetCell
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from training.domain.errors import BadInput
from training.domain.table import Cell, Row, Table

MOST_ROWS = 5_000
MOST_COLUMNS = 60
LARGEST_FILE = 5 * 1024 * 1024
LARGEST_UNPACKED = 24 * 1024 * 1024
MOST_CELLS = 5_000_000
MOST_PARTS = 400
LONGEST_CELL = 1_000

_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_WORKBOOK_PART = "xl/workbook.xml"
_MACRO_PARTS = re.compile(r"vbaproject\.bin|/macrosheets/|/dialogsheets/", re.IGNORECASE)
_MACRO_TYPES = (b"macroEnabled", b"vbaProject")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_MEGABYTE = 1024 * 1024


def read_table(file: BinaryIO, name: str, size: int) -> Table:
    """The rows of an uploaded list; raises `BadInput` with a `sheet.*` key that says what to do.

    `size` is what the upload says of itself and is checked before anything is read.
    """
    if size > LARGEST_FILE:
        values = {"size": math.ceil(size / _MEGABYTE), "limit": LARGEST_FILE // _MEGABYTE}
        raise BadInput("sheet.too_large", field="file", **values)
    data = file.read(LARGEST_FILE + 1)
    if not data.strip():
        raise BadInput("sheet.empty", field="file")
    if data.startswith(_OLE):
        raise BadInput("sheet.protected" if _ENCRYPTED in data else "sheet.old_excel", field="file")
    found = _read_workbook(data) if data.startswith(_ZIP) else _read_text(data)
    if not found.rows:
        raise BadInput("sheet.empty", field="file")
    return found


# Workbooks


def _read_workbook(data: bytes) -> Table:
    try:
        _check_parts(data)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl tells of every style and extension that it leaves out
            return _parse(data)
    except BadInput:
        raise
    except Exception as error:  # damaged files fail in very many ways; each means the same to the reader
        raise BadInput("sheet.damaged", field="file") from error


def _parse(data: bytes) -> Table:
    book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    try:
        return _first_filled(book)
    finally:
        book.close()


def _check_parts(data: bytes) -> None:
    """Refuse what is no plain workbook, or would unpack to more than a crew list ever needs."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        parts = package.infolist()
        _check_bulk(parts)
        _check_kind(package, {part.filename for part in parts})


def _check_bulk(parts: Sequence[zipfile.ZipInfo]) -> None:
    # The unpacker stops at the size a part declares, so the declared sizes are a true limit.
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > LARGEST_UNPACKED:
        raise BadInput("sheet.unpacks_too_large", field="file", limit=LARGEST_UNPACKED // _MEGABYTE)
    if any(part.flag_bits & 1 for part in parts):
        raise BadInput("sheet.protected", field="file")


def _check_kind(package: zipfile.ZipFile, names: set[str]) -> None:
    if any(_MACRO_PARTS.search(name) for name in names):
        raise BadInput("sheet.macros", field="file")
    if _WORKBOOK_PART not in names or "[Content_Types].xml" not in names:
        raise BadInput("sheet.wrong_type", field="file")
    types = package.read("[Content_Types].xml")
    if any(kind in types for kind in _MACRO_TYPES):
        raise BadInput("sheet.macros", field="file")
    if any(b"<!DOCTYPE" in part or b"<!ENTITY" in part for part in (types, package.read(_WORKBOOK_PART))):
        raise BadInput("sheet.damaged", field="file")


def _first_filled(book: Any) -> Table:
    """The sheet in front if it holds anything, else the first that does; the names of the other filled ones."""
    sheets = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"] or book.worksheets
    front = book.active if book.active in sheets else None
    ordered = [front, *(sheet for sheet in sheets if sheet is not front)] if front is not None else sheets
    chosen: Table | None = None
    others = []
    for sheet in ordered:
        if chosen is None:
            rows = tuple(_sheet_rows(sheet))
            chosen = Table(rows, sheet.title) if rows else None
        elif next(_sheet_rows(sheet), None) is not None:
            others.append(sheet.title)
    return Table(chosen.rows, chosen.sheet, tuple(others)) if chosen else Table(())


def _sheet_rows(sheet: Any) -> Iterator[Row]:
    """Rows that hold something, with their number."""
    sheet.reset_dimensions()  # what a file says of its own size may be wrong
    lines = sheet.iter_rows(values_only=True)
    return _within_limits(Row(number, tuple(_cell(value) for value in line)) for number, line in enumerate(lines, 1))


def _within_limits(rows: Iterable[Row]) -> Iterator[Row]:
    count = cells = 0
    for row in rows:
        # Empty cells far to the right or far below cost time too.
        cells += len(row.cells)
        if cells > MOST_CELLS:
            raise BadInput("sheet.too_many_columns", field="file", limit=MOST_COLUMNS)
        if row.is_blank:
            continue
        count += 1
        if count > MOST_ROWS:
            raise BadInput("sheet.too_many_rows", field="file", limit=MOST_ROWS)
        filled = max(at for at, cell in enumerate(row.cells, start=1) if cell not in (None, ""))
        if filled > MOST_COLUMNS:
            raise BadInput("sheet.too_many_columns", field="file", limit=MOST_COLUMNS)
        yield Row(row.number, row.cells[:filled])


def _cell(value: object) -> Cell:
    """A cell as the domain knows it: dates without a time, odd kinds as text, nothing a database refuses."""
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, datetime.date):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else str(value)
    return _CONTROL.sub("\ufffd", str(value))[:LONGEST_CELL]


# Text


def _read_text(data: bytes) -> Table:
    text = _decode(data)
    first, _, rest = text.partition("\n")
    hint = re.fullmatch(r"sep=(.)\s*", first)
    delimiter = hint[1] if hint else _delimiter(text)
    lines = csv.reader(io.StringIO(rest if hint else text, newline=""), delimiter=delimiter)
    try:
        rows = (Row(number, tuple(_cell(cell) for cell in line)) for number, line in enumerate(lines, start=1))
        return Table(tuple(_within_limits(rows)))
    except csv.Error as error:
        raise BadInput("sheet.damaged", field="file") from error


def _decode(data: bytes) -> str:
    """Text by its byte order mark, else UTF-8, else the Western code page that spreadsheets write."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif _zeros(data[1::2]):
        encodings = ["utf-16-le"]
    elif _zeros(data[0::2]):
        encodings = ["utf-16-be"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if not _CONTROL.search(text):
            return text
    raise BadInput("sheet.wrong_type", field="file")


def _zeros(half: bytes) -> bool:
    """True when most of these bytes are zero, as every second one is in Western text in UTF-16."""
    return half[:4096].count(0) > len(half[:4096]) / 2


def _delimiter(text: str) -> str:
    """The sign that parts most of the first lines into the same number of cells."""
    lines = [line for line in text.splitlines()[:30] if line.strip()]
    best = max(",;\t|", key=lambda sign: _evenness(lines, sign))
    return best if _evenness(lines, best) > (0, 0) else ","


def _evenness(lines: Sequence[str], sign: str) -> tuple[int, int]:
    """How many lines have the commonest number of this sign outside quotes, and that number."""
    counts = [re.sub(r'"[^"]*"', "", line).count(sign) for line in lines]
    most = max(set(counts), key=lambda count: (count > 0, counts.count(count), count), default=0)
    return (counts.count(most), most) if most else (0, 0)


# Out


@dataclass(frozen=True)
class SheetOut:
    """One sheet to write: a title, headings, rows. Values may be text, numbers, dates, truth values or None."""

    title: str
    headings: Sequence[object]
    rows: Iterable[Sequence[object]]


HEAD_FILL = PatternFill("solid", fgColor="FF23323F")
HEAD_FONT = Font(bold=True, color="FFFFFFFF")
DATE_FORMAT, MOMENT_FORMAT = "yyyy-mm-dd", "yyyy-mm-dd hh:mm"


def write_xlsx(sheets: Sequence[SheetOut]) -> bytes:
    """A workbook whose text stays text: a cell that starts with `=`, `+`, `-`, `@`, tab or return is never a formula.

    Dates are real dates; the heading row stays in sight. A moment is written in its own time zone, without it.
    """
    book = Workbook()
    book.remove(book.worksheets[0])
    for out in sheets:
        _write_sheet(book.create_sheet(_title(out.title)), out)
    memory = io.BytesIO()
    book.save(memory)
    return memory.getvalue()


def _title(title: str) -> str:
    """A sheet name of at most 31 characters without the signs that are not allowed in one."""
    return re.sub(r"[\[\]:*?/\\]", " ", title).strip("' ")[:31] or "1"


def _write_sheet(sheet: Worksheet, out: SheetOut) -> None:
    widths = [0] * len(out.headings)
    for number, line in enumerate([out.headings, *out.rows], start=1):
        for index, value in enumerate(line):
            cell = sheet.cell(number, index + 1)
            _write_cell(cell, value)
            if number == 1:
                cell.fill, cell.font = HEAD_FILL, HEAD_FONT
                cell.alignment = Alignment(wrap_text=True, vertical="top")
            if index < len(widths):
                widths[index] = max(widths[index], min(len(str(cell.value or "")), 60))
    for index, width in enumerate(widths):
        sheet.column_dimensions[get_column_letter(index + 1)].width = max(10, width + 2)
    sheet.freeze_panes = "A2"
    if out.headings:
        sheet.auto_filter.ref = f"A1:{get_column_letter(len(out.headings))}{sheet.max_row}"


def _write_cell(cell: Any, value: object) -> None:
    if value is None:
        return
    if isinstance(value, datetime.datetime):
        cell.value, cell.number_format = value.replace(tzinfo=None), MOMENT_FORMAT
    elif isinstance(value, datetime.date):
        cell.value, cell.number_format = value, DATE_FORMAT
    elif isinstance(value, bool | int | float):
        cell.value = value
    else:
        _write_text(cell, str(value))


def _write_text(cell: SheetCell, text: str) -> None:
    """Text as text: typed as a string and marked with the quote prefix, so that editing it keeps it one."""
    cell.value = _CONTROL.sub("\ufffd", text)[:32_767]
    cell.data_type = "s"
    if text[:1] in ("=", "+", "-", "@", "\t", "\r", "\n", "'"):
        cell.quotePrefix = True
