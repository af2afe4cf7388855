"""A sheet of cells as it came in: rows keep the number they have in the file, columns their letter."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Self

Cell = str | int | float | bool | date | None
_ODD_SPACES = re.compile(r"[\s\u00a0\u200b\ufeff]+")


@dataclass(frozen=True)
class Row:
    """One row; `number` is the one its reader sees beside it."""

    number: int
    cells: tuple[Cell, ...]

    def cell(self, index: int) -> Cell:
        """The cell in a column, None beyond the row's end."""
        return self.cells[index] if index < len(self.cells) else None

    @property
    def is_blank(self) -> bool:
        return all(text_of(cell) == "" for cell in self.cells)


@dataclass(frozen=True)
class Table:
    """All rows of one sheet that hold something; `others` names the sheets that were not read."""

    rows: tuple[Row, ...]
    sheet: str = ""
    others: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """How many columns the widest row has."""
        return max((len(row.cells) for row in self.rows), default=0)

    def after(self, number: int | None) -> Iterator[Row]:
        """The rows below the one with that number; every row for None."""
        return (row for row in self.rows if number is None or row.number > number)

    def to_json(self) -> dict[str, Any]:
        rows = [[row.number, [_plain(cell) for cell in row.cells]] for row in self.rows]
        return {"rows": rows, "sheet": self.sheet, "others": list(self.others)}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        rows = tuple(Row(number, tuple(_cell(value) for value in cells)) for number, cells in data["rows"])
        return cls(rows, data.get("sheet", ""), tuple(data.get("others", ())))


def table(lines: Sequence[Sequence[Cell]], sheet: str = "") -> Table:
    """A table out of plain lists, numbered from 1, blank rows left out."""
    rows = (Row(number, tuple(cells)) for number, cells in enumerate(lines, start=1))
    return Table(tuple(row for row in rows if not row.is_blank), sheet)


def letter(index: int) -> str:
    """The letters a spreadsheet shows over a column: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def text_of(cell: Cell) -> str:
    """The cell as one line of text: whole numbers without `.0`, dates in ISO form, spaces tidied."""
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, date):
        return cell.isoformat()
    return _ODD_SPACES.sub(" ", str(cell)).strip()


def _plain(cell: Cell) -> Any:
    return {"date": cell.isoformat()} if isinstance(cell, date) else cell


def _cell(value: Any) -> Cell:
    return date.fromisoformat(value["date"]) if isinstance(value, dict) else value
