"""Spreadsheets in: judged before they are parsed. Out: text stays text."""

from __future__ import annotations

import io
import random
import struct
import zipfile
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from training import sheets
from training.domain.errors import BadInput
from training.domain.table import Table
from training.sheets import SheetOut, write_xlsx

ROWS = [["Nombre", "Teléfono"], ["José", "3055550101"]]


def _read(data: bytes, size: int | None = None) -> Table:
    return sheets.read_table(io.BytesIO(data), "list", len(data) if size is None else size)


def _cells(data: bytes) -> list[list[object]]:
    return [list(row.cells) for row in _read(data).rows]


def _refusal(data: bytes, size: int | None = None) -> str:
    with pytest.raises(BadInput) as refused:
        _read(data, size)
    assert refused.value.field == "file"
    return refused.value.message.key


def _workbook(**cells: object) -> bytes:
    book = Workbook()
    for place, value in cells.items():
        book.worksheets[0][place] = value
    return _saved(book)


def _saved(book: Workbook) -> bytes:
    memory = io.BytesIO()
    book.save(memory)
    return memory.getvalue()


def _package(**parts: bytes) -> bytes:
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return memory.getvalue()


def _repacked(data: bytes, **changes: bytes) -> bytes:
    """The same package with parts added or replaced."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    return _package(**(parts | changes))


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_text_is_read_in_the_encodings_and_with_the_signs_that_spreadsheets_write(
    delimiter: str, encoding: str
) -> None:
    text = "\r\n".join(delimiter.join(row) for row in ROWS) + "\r\n"
    assert _cells(text.encode(encoding)) == ROWS


def test_quoted_cells_may_hold_the_sign_quotes_and_line_ends() -> None:
    """RFC 4180, section 2, rules 6 and 7."""
    text = 'aaa,"b ""bb","c\r\ncc"\r\nzzz,"yyy, y",xxx\r\n'
    assert _cells(text.encode()) == [["aaa", 'b "bb', "c\r\ncc"], ["zzz", "yyy, y", "xxx"]]


def test_blank_rows_are_left_out_and_the_others_keep_their_number() -> None:
    found = _read(b"a,b\n\n,\n1,2\n")
    assert [row.number for row in found.rows] == [1, 4]


def test_a_workbook_keeps_dates_numbers_and_accents() -> None:
    data = _workbook(A1="Nombre", B1="Ingreso", A3="José", B3=datetime(2020, 3, 4, 8, 30), C3=12, D3=1.5, E3=True)
    found = _read(data)
    assert [row.number for row in found.rows] == [1, 3]
    assert found.rows[1].cells == ("José", date(2020, 3, 4), 12, 1.5, True)


def test_only_the_stored_result_of_a_formula_is_read() -> None:
    assert _cells(_workbook(A1="Name", A2='=HYPERLINK("x")')) == [["Name"]]


def test_the_sheet_in_front_is_read_and_the_other_filled_ones_are_named() -> None:
    book = Workbook()
    book.worksheets[0].title = "Notes"
    for title in ("Crew", "Old"):
        book.create_sheet(title)["A1"] = "Name"
    book.active = 2
    assert (_read(_saved(book)).sheet, _read(_saved(book)).others) == ("Old", ("Crew",))


@pytest.mark.parametrize("size", [5 * 1024 * 1024 + 1, 50 * 1024 * 1024])
def test_a_file_that_says_it_is_too_large_is_refused_unread(size: int) -> None:
    class Unread(io.BytesIO):
        def read(self, *args: object) -> bytes:
            raise AssertionError("the file was read")

    with pytest.raises(BadInput) as refused:
        sheets.read_table(Unread(), "list.csv", size)
    assert refused.value.message.key == "sheet.too_large"


@pytest.mark.parametrize(
    ("data", "key"),
    [
        (b"", "sheet.empty"),
        (b" \r\n\t", "sheet.empty"),
        (b",,\n,,\n", "sheet.empty"),
        (_workbook(), "sheet.empty"),
        (b"%PDF-1.7\n\x00\x01\x02", "sheet.wrong_type"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "sheet.wrong_type"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF\x00", "sheet.wrong_type"),
        (b"MZ\x90\x00\x03", "sheet.wrong_type"),
        (_package(**{"word/document.xml": b"<x/>", "[Content_Types].xml": b"<x/>"}), "sheet.wrong_type"),
        (_package(mimetype=b"application/vnd.oasis.opendocument.spreadsheet"), "sheet.wrong_type"),
        (b"PK\x03\x04 but no zip", "sheet.damaged"),
        (_workbook(A1="x")[:-60], "sheet.damaged"),
        (_package(**{"xl/workbook.xml": b"<x/>", "[Content_Types].xml": b"<x/>"}), "sheet.damaged"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 Workbook", "sheet.old_excel"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"), "sheet.protected"),
        (_repacked(_workbook(A1="x"), **{"xl/vbaProject.bin": b"x"}), "sheet.macros"),
    ],
)
def test_what_is_no_plain_list_is_refused_with_its_reason(data: bytes, key: str) -> None:
    """First bytes: ZIP APPNOTE 4.3.7, MS-CFB 2.2; an encrypted package sits in such a file (MS-OFFCRYPTO 2.3)."""
    assert _refusal(data) == key


def test_a_workbook_that_declares_macros_is_refused() -> None:
    data = _workbook(A1="x")
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        types = package.read("[Content_Types].xml")
    macro = types.replace(b"spreadsheetml.sheet.main+xml", b"vnd.ms-excel.sheet.macroEnabled.main+xml")
    assert _refusal(_repacked(data, **{"[Content_Types].xml": macro})) == "sheet.macros"


def test_a_zip_bomb_is_refused_before_it_is_unpacked() -> None:
    bomb = _repacked(_workbook(A1="x"), **{"xl/worksheets/sheet2.xml": b"0" * (100 * 1024 * 1024)})
    assert len(bomb) < 1024 * 1024
    assert _refusal(bomb) == "sheet.unpacks_too_large"


def test_a_zip_bomb_that_lies_about_its_size_is_cut_at_what_it_says() -> None:
    bomb = bytearray(_repacked(_workbook(A1="x"), **{"xl/worksheets/sheet1.xml": b"0" * (100 * 1024 * 1024)}))
    true, small = struct.pack("<I", 100 * 1024 * 1024), struct.pack("<I", 1000)
    assert _refusal(bytes(bomb).replace(true, small)) == "sheet.damaged"


def test_a_package_of_very_many_parts_is_refused() -> None:
    assert _refusal(_repacked(_workbook(A1="x"), **{f"x{n}": b"" for n in range(500)})) == "sheet.unpacks_too_large"


def test_entities_in_a_workbook_are_refused() -> None:
    """The billion laughs: nested entities (CWE-776)."""
    laughs = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'
    for part in ("xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml"):
        assert _refusal(_repacked(_workbook(A1="x"), **{part: laughs + b"<x>&b;</x>"})) == "sheet.damaged"


def test_too_many_rows_and_columns_are_refused() -> None:
    assert _refusal(b"a\n" * 5_001) == "sheet.too_many_rows"
    assert _refusal(b"a," * 60 + b"a\n") == "sheet.too_many_columns"
    assert _refusal(_workbook(A1="x", XFD1="x")) == "sheet.too_many_columns"
    assert len(_read(b"a\n" * 5_000).rows) == 5_000


def test_a_cell_far_below_is_read_with_its_row_number() -> None:
    assert [row.number for row in _read(_workbook(A1="x", A200000="y")).rows] == [1, 200_000]


@given(st.binary(max_size=300))
def test_no_file_whatever_makes_the_reader_stumble(data: bytes) -> None:
    try:
        _read(data)
    except BadInput as refused:
        assert refused.message.key.startswith("sheet.")


def test_no_damaged_workbook_makes_the_reader_stumble() -> None:
    good, dice = _workbook(A1="Name", A2="José", B2=date(2020, 1, 2)), random.Random(7)
    for _ in range(60):
        bad = bytearray(good)
        for _ in range(3):
            bad[dice.randrange(len(bad))] = dice.randrange(256)
        try:
            _read(bytes(bad))
        except BadInput as refused:
            assert refused.message.key.startswith("sheet.")


# The signs that start a formula in a spreadsheet: OWASP, "CSV Injection".
FORMULA_SIGNS = ["=", "+", "-", "@", "\t", "\r"]


@pytest.mark.parametrize("sign", FORMULA_SIGNS)
def test_text_that_looks_like_a_formula_stays_text_on_its_way_in_and_out(sign: str) -> None:
    evil = f'{sign}HYPERLINK("http://example.com","x")'
    written = write_xlsx([SheetOut("People", ["Name"], [[evil]])])
    cell = load_workbook(io.BytesIO(written)).worksheets[0]["A2"]
    # XML itself turns a carriage return into a line feed (XML 1.0, 2.11).
    assert (cell.value, cell.data_type, cell.quotePrefix) == (evil.replace("\r", "\n"), "s", True)
    with zipfile.ZipFile(io.BytesIO(written)) as package:
        assert not any(b"<f>" in package.read(name) for name in package.namelist())
    again = write_xlsx([SheetOut("People", ["Name"], [[row.cells[0]] for row in _read(written).rows])])
    assert load_workbook(io.BytesIO(again)).worksheets[0]["A3"].data_type == "s"


def test_an_export_has_real_dates_a_fixed_heading_and_no_control_characters() -> None:
    moment = datetime(2020, 3, 4, 8, 30, tzinfo=UTC)
    rows = [["José\x00\x0b", date(2020, 3, 4), moment, 3, True, None]]
    written = write_xlsx([SheetOut("Crew: A/B*", ["Name", "Day", "Moment", "N", "Yes", "-"], rows)])
    sheet = load_workbook(io.BytesIO(written)).worksheets[0]
    assert (sheet.title, sheet.freeze_panes) == ("Crew  A B", "A2")
    assert sheet["A2"].value == "José\ufffd\ufffd"
    assert sheet["B2"].is_date and sheet["B2"].value.date() == date(2020, 3, 4)
    assert sheet["C2"].value == datetime(2020, 3, 4, 8, 30)
    assert [sheet[place].value for place in ("D2", "E2", "F2")] == [3, True, None]


@given(st.lists(st.text(max_size=20), min_size=1, max_size=5))
def test_any_text_comes_back_from_an_export_as_text(texts: list[str]) -> None:
    written = write_xlsx([SheetOut("x", ["h"] * len(texts), [texts])])
    back = next(load_workbook(io.BytesIO(written)).worksheets[0].iter_rows(min_row=2))
    assert all(cell.data_type == "s" or cell.value is None for cell in back)
