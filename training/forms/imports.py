"""A crew list as the officer uploads it, matches its columns and settles its rows."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from training import sheets
from training.domain.crewlist import BLANK, ReadRow
from training.domain.crewlist_columns import NAMES, Field, missing
from training.domain.crewlist_match import Against, Choice, Double
from training.domain.crewlist_reading import Columns, Reading
from training.domain.dates import Order
from training.domain.errors import BadInput
from training.domain.messages import Message
from training.domain.table import Row, Table, text_of
from training.forms.people import DayField
from training.models.people import LANGUAGES
from training.texts import say

HEADER_CHOICES = 15
LEFT_OUT, WORK_IT_OUT = "-", "work_it_out"
LONGEST_FIX = 200


class UploadForm(forms.Form):
    """A spreadsheet file; `table` holds its cells once the form is valid."""

    file = forms.FileField(
        label=_("Crew list"),
        max_length=400,
        allow_empty_file=True,
        help_text=_("An .xlsx or .csv file, at most 5 MB. One row for each person."),
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.txt,.tsv"}),
    )

    def clean_file(self) -> UploadedFile[Any]:
        upload = self.cleaned_data["file"]
        try:
            self.table = sheets.read_table(upload, upload.name, upload.size)
        except BadInput as error:
            raise forms.ValidationError(say(error.message)) from error
        return upload


class ColumnsForm(forms.Form):
    """Which column holds what, and what holds for the whole list."""

    header_row = forms.TypedChoiceField(label=_("Headings are in"), coerce=int)
    order = forms.ChoiceField(
        label=_("Dates made of numbers, such as 4/3/2020"),
        choices=[
            (WORK_IT_OUT, _("Work it out; ask me when both are possible")),
            (str(Order.DAY_FIRST), _("Day first: 4 March")),
            (str(Order.MONTH_FIRST), _("Month first: April 3")),
        ],
    )
    family_first = forms.BooleanField(label=_("Full names start with the family names"), required=False)
    language = forms.ChoiceField(label=_("Language where the list has none"), choices=LANGUAGES)
    starts = DayField(label=_("Employed from, where the list has no date"))
    crews_from = DayField(label=_("In these crews from"))

    def __init__(self, *args: Any, reading: Reading, today: datetime.date, **kwargs: Any) -> None:
        self.reading, self.today = reading, today
        kwargs["initial"] = _initial(reading)
        super().__init__(*args, **kwargs)
        headings = self.fields["header_row"]
        assert isinstance(headings, forms.ChoiceField)
        headings.choices = _header_choices(reading.table)
        choices = [(LEFT_OUT, _("Leave this column out")), *((str(found), _field_word(found)) for found in Field)]
        for column in reading.layout.columns:
            self.fields[f"column-{column.index}"] = forms.ChoiceField(
                label=f"{column.letter} · {column.header}" if column.header else column.letter,
                help_text=" · ".join(column.samples) or _("empty"),
                initial=LEFT_OUT,
                choices=choices,
            )

    def by_column(self) -> list[forms.BoundField]:
        return [self[f"column-{column.index}"] for column in self.reading.layout.columns]

    def general(self) -> list[forms.BoundField]:
        """The fields that hold for the whole list."""
        return [self[name] for name in ("header_row", "order", "family_first", "language", "starts", "crews_from")]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for message in missing(self._fields(data)):
            self.add_error(None, say(message))
        for name in ("starts", "crews_from"):
            if data.get(name) and data[name] > self.today:
                self.add_error(name, _("This day is in the future. Give today or an earlier day."))
        return data

    def _fields(self, data: Mapping[str, Any]) -> dict[int, Field]:
        chosen = {column.index: data.get(f"column-{column.index}") for column in self.reading.layout.columns}
        return {index: Field(found) for index, found in chosen.items() if found and found != LEFT_OUT}

    def columns(self) -> Columns:
        """What was chosen, once the form is valid."""
        data = self.cleaned_data
        return Columns(
            header_row=data["header_row"] or None,
            fields=self._fields(data),
            starts=data["starts"],
            crews_from=data["crews_from"],
            language=data["language"],
            family_first=data["family_first"],
            order=Order(data["order"]) if data["order"] != WORK_IT_OUT else None,
        )


def _field_word(found: Field) -> str:
    """The field as a label: with a capital."""
    word = say(Message(f"crewlist.field.{found}"))
    return word[:1].upper() + word[1:]


def _initial(reading: Reading) -> dict[str, Any]:
    columns = reading.columns
    return {
        "header_row": columns.header_row or 0,
        "order": str(columns.order or WORK_IT_OUT),
        "family_first": columns.family_first,
        "language": columns.language,
        "starts": columns.starts,
        "crews_from": columns.crews_from,
        **{f"column-{index}": str(found) for index, found in columns.fields.items()},
    }


def _header_choices(table: Table) -> list[tuple[Any, Any]]:
    rows = [(row.number, _("Row %(number)s: %(cells)s") % _row_words(row)) for row in table.rows[:HEADER_CHOICES]]
    return [(0, _("There are no headings; the first row is a person")), *rows]


def _row_words(row: Row) -> dict[str, Any]:
    cells = " · ".join(text for cell in row.cells if (text := text_of(cell)))
    return {"number": row.number, "cells": cells if len(cells) <= 60 else f"{cells[:60]}…"}


@dataclass(frozen=True)
class RowCard:
    """One row on the page: what was read, what is said about it, what can be typed and chosen."""

    row: ReadRow
    doubles: tuple[Double, ...]
    fixes: tuple[forms.BoundField, ...]
    more: tuple[forms.BoundField, ...]
    choice: forms.BoundField
    is_open: bool


class RowsForm(forms.Form):
    """Choices and corrections for the rows of one page of a list."""

    def __init__(self, *args: Any, reading: Reading, shown: Iterable[ReadRow], **kwargs: Any) -> None:
        self.reading, self.shown = reading, tuple(shown)
        super().__init__(*args, **kwargs)
        for row in self.shown:
            for wanted in self._all_fields(row):
                self.fields[_fix(row, wanted)] = self._fix_field(row, wanted)
            self.fields[f"choice-{row.number}"] = self._choice_field(row)

    def _noted(self, row: ReadRow) -> list[Field]:
        """Fields that something is said about; a whole name is corrected in its two parts."""
        noted = [note.field for note in row.notes]
        parts = [Field.GIVEN, Field.FAMILY] if any(found in NAMES for found in noted) else []
        return [*parts, *dict.fromkeys(found for found in noted if found not in NAMES)]

    def _all_fields(self, row: ReadRow) -> list[Field]:
        mapped = [found for found in self.reading.layout.fields.values() if found not in NAMES]
        return list(dict.fromkeys([Field.GIVEN, Field.FAMILY, *mapped, *self._noted(row)]))

    def _fix_field(self, row: ReadRow, wanted: Field) -> forms.CharField:
        return forms.CharField(
            label=_field_word(wanted),
            required=False,
            max_length=LONGEST_FIX,
            initial=self._shown_text(row, wanted),
        )

    def _shown_text(self, row: ReadRow, wanted: Field) -> str:
        """The correction made before, else what stands in the file: to be corrected rather than typed anew."""
        fixed = self.reading.choices.fixes.get(f"{row.number}:{wanted}")
        if fixed is not None:
            return "" if fixed == BLANK else fixed
        if wanted not in NAMES:
            return self.reading.cell_text(row.number, wanted)
        note = next((note for note in row.faults if note.field is wanted), None)
        read = row.person.given if wanted is Field.GIVEN else row.person.family
        return read or (note.typed if note else "")

    def _choice_field(self, row: ReadRow) -> forms.ChoiceField:
        same = [
            (f"same:{double.id}", _("Same as %(name)s, already in the record") % {"name": double.name})
            for double in self.reading.doubles.get(row.number, ())
            if double.against is Against.PERSON
        ]
        chosen = self.reading.choices.rows.get(row.number)
        return forms.ChoiceField(
            label=_("What to do with row %(number)s") % {"number": row.number},
            choices=[("new", _("Add as a new person")), *same, ("skip", _("Leave this row out"))],
            widget=forms.RadioSelect,
            required=False,
            initial=str(chosen) if chosen else "" if row.number in self.reading.doubles else "new",
        )

    def cards(self) -> list[RowCard]:
        return [self._card(row) for row in self.shown]

    def _card(self, row: ReadRow) -> RowCard:
        noted = self._noted(row)
        return RowCard(
            row=row,
            doubles=self.reading.doubles.get(row.number, ()),
            fixes=tuple(self[_fix(row, wanted)] for wanted in noted),
            more=tuple(self[_fix(row, wanted)] for wanted in self._all_fields(row) if wanted not in noted),
            choice=self[f"choice-{row.number}"],
            is_open=self.reading.is_open(row),
        )

    def rows(self) -> dict[int, Choice | None]:
        """The choices made, by row number. `New` is a choice only where something else was likely."""
        made = {row.number: Choice.parse(self.cleaned_data[f"choice-{row.number}"]) for row in self.shown}
        plain = Choice("new")
        return {n: None if choice == plain and n not in self.reading.doubles else choice for n, choice in made.items()}

    def fixes(self) -> dict[str, str]:
        """What was typed over the file, under `row:field`; an empty text takes a correction back."""
        return {
            f"{row.number}:{wanted}": self._correction(row, wanted, self.cleaned_data[_fix(row, wanted)])
            for row in self.shown
            for wanted in self._all_fields(row)
        }

    def _correction(self, row: ReadRow, wanted: Field, typed: str) -> str:
        if wanted in NAMES:
            before = self.reading.choices.fixes.get(f"{row.number}:{wanted}", "")
            return before if typed == self._shown_text(row, wanted) else typed or BLANK
        original = self.reading.cell_text(row.number, wanted)
        return "" if typed == original else typed or BLANK


def _fix(row: ReadRow, wanted: Field) -> str:
    return f"fix-{row.number}-{wanted}"
