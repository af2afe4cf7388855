"""A crew list with everything its reader chose so far: one value that the pages show and the import acts on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Self

from training.domain.crewlist import ReadRow, Settings, notes_on_columns, read_list
from training.domain.crewlist_columns import Field, Layout, doubts, guess_layout, layout_with
from training.domain.crewlist_match import Choice, Double, Known, Plan, find_doubles, make_plan, near_crews
from training.domain.dates import Order
from training.domain.messages import Message
from training.domain.table import Table, text_of


@dataclass(frozen=True)
class Columns:
    """How the list is to be read, as chosen; `crews_from` is the day from which people are in its crews."""

    header_row: int | None
    fields: Mapping[int, Field]
    starts: date
    crews_from: date
    language: str
    family_first: bool = False
    order: Order | None = None

    @classmethod
    def guess(cls, table: Table, *, today: date, language: str) -> Self:
        """What the list itself suggests; days default to today."""
        layout = guess_layout(table)
        return cls(layout.header_row, layout.fields, today, today, language, layout.family_first)

    def to_json(self) -> dict[str, Any]:
        return {
            "header_row": self.header_row,
            "fields": {str(index): str(found) for index, found in self.fields.items()},
            "starts": self.starts.isoformat(),
            "crews_from": self.crews_from.isoformat(),
            "language": self.language,
            "family_first": self.family_first,
            "order": str(self.order) if self.order else None,
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        return cls(
            header_row=data["header_row"],
            fields={int(index): Field(found) for index, found in data["fields"].items()},
            starts=date.fromisoformat(data["starts"]),
            crews_from=date.fromisoformat(data["crews_from"]),
            language=data["language"],
            family_first=data["family_first"],
            order=Order(data["order"]) if data["order"] else None,
        )


@dataclass(frozen=True)
class Choices:
    """What was chosen row by row, and what was typed in place of cells (`row:field`)."""

    rows: Mapping[int, Choice] = field(default_factory=dict)
    fixes: Mapping[str, str] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        return {"rows": {str(row): str(choice) for row, choice in self.rows.items()}, "fixes": dict(self.fixes)}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        rows = {int(row): Choice.parse(text) for row, text in data.get("rows", {}).items()}
        return cls({row: choice for row, choice in rows.items() if choice}, dict(data.get("fixes", {})))


@dataclass(frozen=True)
class Reading:
    """The list as read with the choices made: its rows, likely doubles, hints on columns, and the plan."""

    table: Table
    layout: Layout
    columns: Columns
    choices: Choices
    rows: tuple[ReadRow, ...]
    doubles: Mapping[int, tuple[Double, ...]]
    hints: tuple[Message, ...]
    plan: Plan

    def to_settle(self) -> tuple[ReadRow, ...]:
        """Rows that had something to look at, whether it is settled by now or not."""
        return tuple(
            row
            for row in self.rows
            if row.notes or row.number in self.doubles or self.is_fixed(row) or row.number in self.plan.skipped
        )

    def cell_text(self, number: int, wanted: Field) -> str:
        """What the file says in a row for a field, as text; empty when no column holds it."""
        column = self.layout.column_of(wanted)
        row = next((row for row in self.table.rows if row.number == number), None)
        return text_of(row.cell(column.index)) if row and column else ""

    def is_fixed(self, row: ReadRow) -> bool:
        return any(key.startswith(f"{row.number}:") for key in self.choices.fixes)

    def is_open(self, row: ReadRow) -> bool:
        """True while the row keeps the list from being brought in."""
        settled = row.number in self.plan.skipped or row.number in self.plan.same
        return not settled and row.number not in {new.number for new in self.plan.new}


def read_crew_list(
    table: Table,
    columns: Columns,
    choices: Choices,
    *,
    known: Iterable[Known],
    crews: Iterable[str],
    today: date,
    region: str,
) -> Reading:
    """Everything there is to know about a list on one day, with the people and crews that are in the record."""
    layout = layout_with(table, columns.header_row, columns.fields, columns.family_first)
    settings = Settings(today, columns.starts, region, columns.language, columns.order, columns.family_first)
    crews = list(crews)
    rows = read_list(table, layout, settings, choices.fixes)
    doubles = find_doubles(rows, known)
    hints = (*doubts(table, layout), *notes_on_columns(table, layout), *near_crews(rows, crews))
    plan = make_plan(rows, doubles, choices.rows, crews)
    return Reading(table, layout, columns, choices, rows, doubles, hints, plan)
