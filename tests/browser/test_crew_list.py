"""The officer's crew list: bad cells named by row and column, doubles settled, the whole list undone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests.browser import cast
from tests.browser.journey import button, press
from tests.browser.visitors import Visitors
from training.models.people import people_of

LIST = """Tolvane Roofing;;;;;
Apellidos;Nombre(s);Teléfono;Idioma;Cuadrilla;Fecha de ingreso
PEREZ ALVARADO;JOSE A.;+1 305 555 0102;es;Harbor;8 jun 2024
Xuncax Baltazar;Eulalia;(305) 555-0177;español;Harbor;25/08/2026
Baltazar Xuncax;Eulalia;305.555.0177;es;harbor;25/08/2026
;;;;;
Fernsby;Quentin;305 555 0178;inglés;Gable crew;31/02/2026
"""


def test_a_messy_list_is_settled_row_by_row_brought_in_whole_and_undone(
    visitors: Visitors, do: Callable[..., Any], tmp_path: Path
) -> None:
    file = tmp_path / "cuadrilla de noviembre.csv"
    file.write_text(LIST, encoding="utf-8")
    before = do(_names)
    page = visitors.window(do(cast.officer))

    page.goto("/imports/")
    page.locator("#id_file").set_input_files(file)
    press(button(page, "Read this list"))
    expect(page.get_by_label("A · Apellidos")).to_have_value("family")
    expect(page.get_by_label("F · Fecha de ingreso")).to_have_value("hired")
    press(button(page, "Keep and go on to the rows"))

    bad = _row(page, 7)
    expect(bad).to_contain_text("column F")
    press(button(page, "Keep and go on"))
    expect(page.get_by_role("status")).to_contain_text("Rows")  # nothing goes on while a row is open
    assert do(_names) == before

    _choose(_row(page, 3), "Same as José Ángel Pérez Alvarado")
    _choose(_row(page, 5), "Leave this row out")
    bad = _row(page, 7)
    bad.locator("input[value='31/02/2026']").fill("2026-03-02")
    _choose(bad, "Add as a new person")
    press(button(page, "Keep and go on"))
    expect(page.get_by_role("heading", level=1)).to_have_text("Look once more")
    assert do(_names) == before
    press(button(page, "Bring in 2 people"))
    expect(page.get_by_role("status")).to_contain_text("The crew list is in the record.")
    assert do(_names) == before | {"Eulalia Xuncax Baltazar", "Quentin Fernsby"}

    page.locator("summary", has_text="Undo this list").click()
    press(button(page, "Undo the whole list"))
    expect(page.get_by_role("status")).to_contain_text("Undone.")
    assert do(_names) == before
    page.goto("/people/?q=Xuncax")
    expect(page.locator(".empty-title")).to_be_visible()


def _names() -> set[str]:
    return {person.full_name for person in people_of(cast.company())}


def _row(page: Page, number: int) -> Locator:
    return page.locator(f"#row-{number}")


def _choose(row: Locator, what: str) -> None:
    row.locator("label.choice", has_text=what).click()
