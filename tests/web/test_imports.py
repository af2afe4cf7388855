"""Bringing in a crew list in the browser: from the file to the people, with nothing lost and nothing saved early."""

from __future__ import annotations

import datetime
import io
import re
import zipfile
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import Workbook

from tests import factories as make
from training.actions import imports as actions
from training.actions import people
from training.domain.table import Cell, table
from training.models import CrewImport, Entry, Person
from training.permissions import Actor

pytestmark = pytest.mark.django_db

MESSY = Path(__file__).parents[1] / "files" / "crew_messy.csv"
GOOD = "Nombre;Apellidos;Tel;Cuadrilla\nJosé;Pérez Álvarez;305-555-0101;Harbor\nAna;Ruiz;305-555-0102;Ridge\n"
UPLOAD = "training:imports"


@pytest.fixture
def officer() -> Actor:
    return make.officer_of(make.CompanyFactory())


def browser(actor: Actor, language: str = "en") -> Client:
    client = Client(headers={"accept-language": language})
    client.force_login(actor.user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def upload(client: Client, data: bytes | str, name: str = "crew.csv"):
    data = data.encode() if isinstance(data, str) else data
    return client.post(reverse(UPLOAD), {"file": SimpleUploadedFile(name, data)}, follow=True)


def step(name: str, row: CrewImport | None = None) -> str:
    return reverse(f"training:{name}", args=[(row or CrewImport.objects.latest("pk")).pk])


def fields(answer) -> dict[str, list[str] | str]:
    """The form of a page as a browser would send it back."""
    page = BeautifulSoup(answer.content, "html.parser")
    form = next(form for form in page.find_all("form", method="post") if not form.get("action"))
    sent: dict[str, list[str]] = {}
    for tag in form.find_all(["input", "select"]):
        name, kind = tag.get("name"), tag.get("type")
        if not name or (kind in ("radio", "checkbox") and not tag.has_attr("checked")):
            continue
        if tag.name == "select":
            chosen = tag.find("option", selected=True) or tag.find("option")
            sent.setdefault(name, []).append(chosen["value"])
        else:
            sent.setdefault(name, []).append(tag.get("value", ""))
    return {name: values if len(values) > 1 else values[0] for name, values in sent.items()}


def text(answer) -> str:
    return " ".join(BeautifulSoup(answer.content, "html.parser").main.get_text(" ").split())


def test_from_the_file_to_the_people_and_back(officer: Actor) -> None:
    client = browser(officer)
    columns = upload(client, GOOD)
    assert columns.request["PATH_INFO"] == step("import_columns")
    assert fields(columns)["column-1"] == "family"
    rows = client.post(step("import_columns"), fields(columns) | {"on": ""}, follow=True)
    assert "Every row can be read." in text(rows)
    confirm = client.post(step("import_rows"), {"on": ""}, follow=True)
    assert "Bring in 2 people" in text(confirm) and "Harbor, Ridge" in text(confirm)
    assert not Person.objects.exists()
    result = client.post(step("import_confirm"), follow=True)
    assert "José Pérez Álvarez" in text(result) and "The crew list is in the record." in text(result)
    again = client.post(step("import_confirm"), follow=True)
    assert again.status_code == 200 and "The crew list is in the record." not in text(again)
    assert Person.objects.count() == 2
    undone = client.post(step("import_undo"), follow=True)
    assert "Undone" in text(undone)
    assert "José" not in text(client.get(reverse("training:people")))


def test_the_messy_list_is_settled_row_by_row(officer: Actor) -> None:
    client = browser(officer)
    upload(client, MESSY.read_bytes())
    page = client.get(step("import_rows"))
    assert "Row 14" in text(page) and "column C (Teléfono): “305 555 01O7” is not a telephone number." in text(page)
    assert "José Ángel Pérez Alvarado, row 6 of this list" in text(page)
    sent = fields(page)
    assert sent["fix-14-phone"] == "305 555 01O7"
    for row in (7, 8, 19, 20, 24, 30):
        sent[f"choice-{row}"] = "skip"
    sent |= {
        "fix-14-phone": "305 555 0107",
        "fix-15-phone": "305 555 0108",
        "fix-17-phone": "305 555 0110",
        "fix-17-hired": "29 feb 2024",
        "fix-21-hired": "1 nov 2024",
        "fix-28-hired": "",
    }
    confirm = client.post(step("import_rows"), sent | {"on": ""}, follow=True)
    assert "Bring in 17 people" in text(confirm)
    client.post(step("import_confirm"))
    assert Person.objects.get(employee_number="T-006").memberships.get().starts == datetime.date(2024, 2, 29)
    assert Person.objects.get(employee_number="T-024").phone == "+13055550107"


def test_what_is_typed_is_kept_also_when_it_is_still_wrong(officer: Actor) -> None:
    client = browser(officer)
    upload(client, GOOD.replace("305-555-0101", "555-0101"))
    sent = fields(client.get(step("import_rows"))) | {"fix-2-phone": "ask José", "stay": ""}
    page = client.post(step("import_rows"), sent, follow=True)
    assert "“ask José” is not a telephone number." in text(page)
    assert fields(page)["fix-2-phone"] == "ask José"
    assert "To put right" in text(client.get(step("import_confirm"), follow=True))


def test_a_corrected_cell_can_be_put_back(officer: Actor) -> None:
    client = browser(officer)
    upload(client, GOOD)
    page = client.get(step("import_rows") + "?rows=all")
    kept = client.post(
        step("import_rows") + "?rows=all", fields(page) | {"fix-2-crew": "Pine", "stay": ""}, follow=True
    )
    assert fields(kept)["fix-2-crew"] == "Pine"
    back = client.post(step("import_rows") + "?rows=all", fields(kept) | {"fix-2-crew": "Harbor"}, follow=True)
    assert fields(back)["fix-2-crew"] == "Harbor"
    assert CrewImport.objects.get().choices["fixes"] == {}


def test_somebody_in_the_record_is_shown_for_a_choice(officer: Actor) -> None:
    details = {"given_names": "Jose", "family_names": "Alvarez Perez", "language": "es"}
    known = people.add_person(by=officer, starts=officer.today, details=details)
    client = browser(officer)
    upload(client, GOOD)
    page = client.get(step("import_rows"))
    assert "same names in another order" in text(page)
    assert "choice-2" not in fields(page)
    stopped = client.post(step("import_rows"), fields(page) | {"on": ""}, follow=True)
    assert stopped.request["PATH_INFO"] == step("import_rows")
    client.post(step("import_rows"), fields(page) | {"choice-2": f"same:{known.pk}"})
    result = client.post(step("import_confirm"), follow=True)
    assert "Already in the record" in text(result)
    assert Person.objects.count() == 2


def test_a_choice_that_was_not_offered_is_an_error_on_the_form(officer: Actor) -> None:
    client = browser(officer)
    stranger = make.PersonFactory()
    upload(client, GOOD.replace("305-555-0101", "555-0101"))
    sent = fields(client.get(step("import_rows"))) | {"choice-2": f"same:{stranger.pk}"}
    page = client.post(step("import_rows"), sent)
    assert page.status_code == 200 and "There is one thing to fix" in text(page)
    assert CrewImport.objects.get().choices["rows"] == {}


def test_columns_can_be_changed_and_are_kept(officer: Actor) -> None:
    client = browser(officer)
    columns = upload(client, GOOD)
    turned = fields(columns) | {"column-0": "family", "column-1": "given", "language": "es", "look": ""}
    looked = client.post(step("import_columns"), turned, follow=True)
    assert looked.request["PATH_INFO"] == step("import_columns")
    assert "Pérez Álvarez José" in text(looked)
    assert (fields(looked)["column-0"], fields(looked)["language"]) == ("family", "es")


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"column-0": "-", "column-1": "-"}, "No column holds names."),
        ({"column-0": "phone"}, "Two columns are chosen for: telephone."),
        ({"column-0": "full"}, "Choose either the full name, or given and family names."),
        ({"column-0": "salary"}, "Select a valid choice."),
        ({"header_row": "999"}, "Select a valid choice."),
        ({"starts": "2999-01-01"}, "This year cannot be right."),
        ({"crews_from": "2199-01-01"}, "This day is in the future."),
        ({"order": "year_first"}, "Select a valid choice."),
    ],
)
def test_columns_that_cannot_be_used_are_an_error_on_the_form(officer: Actor, change: dict, sentence: str) -> None:
    client = browser(officer)
    sent = fields(upload(client, GOOD)) | change
    page = client.post(step("import_columns"), sent)
    assert page.status_code == 200 and sentence in text(page)


def _workbook(**cells: object) -> bytes:
    book, memory = Workbook(), io.BytesIO()
    for place, value in cells.items():
        book.worksheets[0][place] = value
    book.save(memory)
    return memory.getvalue()


def _bomb() -> bytes:
    memory = io.BytesIO(_workbook(A1="Name"))
    with zipfile.ZipFile(memory, "a", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/worksheets/sheet9.xml", b"0" * (60 * 1024 * 1024))
    return memory.getvalue()


@pytest.mark.parametrize(
    ("data", "name", "sentence"),
    [
        (b"%PDF-1.7\n\x00\x01", "crew.csv", "This is not a spreadsheet we can read."),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "crew.xlsx", "This is not a spreadsheet we can read."),
        (b"", "crew.csv", "There is nothing in this file."),
        (b"x" * (50 * 1024 * 1024), "crew.csv", "The file has 50 MB. At most 5 MB can be read."),
        (_bomb(), "crew.xlsx", "This file would unpack to more than 24 MB."),
        (b"PK\x03\x04 broken", "crew.xlsx", "This file cannot be read."),
        (b"a\n" * 5_001, "crew.csv", "There are more than 5000 rows."),
    ],
    ids=["pdf", "picture", "empty", "50 MB", "zip bomb", "damaged", "too many rows"],
)
def test_a_file_that_cannot_be_used_says_why_on_the_form(officer: Actor, data: bytes, name: str, sentence: str) -> None:
    page = upload(browser(officer), data, name)
    assert page.status_code == 200 and sentence in text(page)
    assert not CrewImport.objects.exists()


def test_no_file_is_an_error_on_the_form(officer: Actor) -> None:
    page = browser(officer).post(reverse(UPLOAD), {})
    assert page.status_code == 200 and "This field is required." in text(page)


def test_a_workbook_with_dates_and_formulas_comes_in_as_it_looks(officer: Actor) -> None:
    client = browser(officer)
    book = _workbook(
        A1="Name", B1="Hired", C1="Crew", A2="Ana Ruiz", B2=datetime.datetime(2020, 3, 4), C2='=HYPERLINK("x")'
    )
    upload(client, book, "crew.xlsx")
    client.post(step("import_rows"), {"on": ""})
    client.post(step("import_confirm"))
    ana = Person.objects.get()
    assert ana.memberships.get().starts == datetime.date(2020, 3, 4)
    assert not ana.crew_memberships.exists()


def test_markup_in_a_cell_is_shown_as_text(officer: Actor) -> None:
    client = browser(officer)
    upload(client, "Name;<script>alert(1)</script>;Crew\nAna Ruiz;x;<b>Pine</b>\n", "<i>crew</i>.csv")
    for name in ("import_columns", "import_rows", "import_confirm"):
        page = client.get(step(name), follow=True).text
        assert "<script>alert" not in page and "<b>Pine" not in page and "<i>crew" not in page


@pytest.mark.parametrize("name", ["import", "import_columns", "import_rows", "import_confirm"])
def test_another_companys_list_does_not_exist(officer: Actor, name: str) -> None:
    row = actions.start_import(by=officer, file_name="x.csv", table=table([["Name"], ["Ana Ruiz"]]))
    stranger = browser(make.officer_of(make.CompanyFactory()))
    assert stranger.get(step(name, row)).status_code == 404
    if name != "import":
        assert stranger.post(step(name, row)).status_code == 404


@pytest.mark.parametrize("name", ["import_undo", "import_discard"])
def test_another_companys_list_is_not_undone_or_thrown_away(officer: Actor, name: str) -> None:
    row = actions.start_import(by=officer, file_name="x.csv", table=table([["Name"], ["Ana Ruiz"]]))
    stranger = browser(make.officer_of(make.CompanyFactory()))
    assert stranger.post(step(name, row)).status_code == 404
    assert stranger.get(step(name, row)).status_code == 405
    assert CrewImport.objects.filter(pk=row.pk).exists()


def test_people_on_a_crew_and_strangers_get_no_list(officer: Actor) -> None:
    row = actions.start_import(by=officer, file_name="x.csv", table=table([["Name"], ["Ana Ruiz"]]))
    crew = browser(make.applicator(make.PersonFactory(company=officer.employer)))
    for name in ("import", "import_columns", "import_rows", "import_confirm"):
        assert crew.get(step(name, row)).status_code == 403
        assert Client().get(step(name, row)).status_code == 302
    assert crew.post(reverse(UPLOAD), {}).status_code == 403


def test_a_list_that_is_brought_in_can_no_longer_be_changed(officer: Actor) -> None:
    client = browser(officer)
    row = actions.start_import(by=officer, file_name="x.csv", table=table([["Name"], ["Ana Ruiz"]]))
    actions.confirm_import(by=officer, crew_import=row)
    assert client.post(step("import_rows", row), {"row": "2", "choice-2": "skip"}).status_code == 409
    assert client.post(step("import_columns", row), {}).status_code == 409
    thrown = client.post(step("import_discard", row), follow=True)
    assert "already in the record" in text(thrown)
    assert CrewImport.objects.filter(pk=row.pk).exists()


def test_the_reason_is_told_when_a_list_can_no_longer_be_undone(officer: Actor) -> None:
    client = browser(officer)
    row = actions.start_import(by=officer, file_name="x.csv", table=table([["Name"], ["Ana Ruiz"]]))
    made = actions.confirm_import(by=officer, crew_import=row)
    people.correct_person(by=officer, person=made.created()[0], details={"phone": "+13055550101"})
    page = client.post(step("import_undo", row), follow=True)
    assert "something rests on it. Ana Ruiz" in text(page) and "Person corrected" in text(page)


def test_throwing_a_list_away_deletes_what_was_in_it(officer: Actor) -> None:
    client = browser(officer)
    upload(client, GOOD)
    page = client.post(step("import_discard"), follow=True)
    assert "thrown away" in text(page)
    assert not CrewImport.objects.exists() and not Entry.objects.exists()


@pytest.mark.parametrize(
    "sent", [{"row": "x"}, {"row": "²"}, {"row": "9" * 30}, {"row": "2", "choice-2": "same:x"}, {}]
)
def test_odd_posts_are_no_crash(officer: Actor, sent: dict[str, str]) -> None:
    client = browser(officer)
    upload(client, GOOD)
    assert client.post(step("import_rows"), sent).status_code in (200, 302)
    assert client.get(step("import_rows") + "?page=x&rows=²").status_code == 200


def _many(count: int) -> list[list[Cell]]:
    names = [f"Ana {chr(97 + n % 26)}{chr(97 + n // 26 % 26)}{chr(97 + n // 676)}" for n in range(count)]
    return [["Given", "Family"], *([name, f"Ruiz {name[4:][::-1]}"] for name in names)]


@pytest.mark.parametrize("name", ["import_columns", "import_rows", "import_confirm", "import"])
def test_pages_ask_the_database_as_often_for_a_thousand_rows_as_for_ten(officer: Actor, name: str) -> None:
    counts = []
    for count in (10, 1_000 if name != "import" else 60):
        row = actions.start_import(by=officer, file_name="x.csv", table=table(_many(count)))
        choices = {str(number): "new" for number in range(2, count + 2)}
        CrewImport.objects.filter(pk=row.pk).update(choices={"rows": choices, "fixes": {}})
        if name == "import":
            actions.confirm_import(by=officer, crew_import=CrewImport.objects.get(pk=row.pk))
        client = browser(officer)
        client.get(reverse("training:style"))
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert client.get(step(name, row)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_pages_are_in_spanish_for_who_reads_spanish(officer: Actor) -> None:
    client = browser(officer, "es")
    page = upload(client, GOOD)
    assert re.search(r'<html lang="es"', page.text)
