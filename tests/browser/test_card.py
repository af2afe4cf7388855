"""From the decision to the gate: no way round the proofs, a card a stranger can read, every no said plainly."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Page, expect

from certificates.domain import number
from tests.browser import cast
from tests.browser.journey import button, link, press
from tests.browser.server import Site
from tests.browser.visitors import Visitors

WAITING = "Wickstrom"


def scanned(pdf: Path) -> str:
    """What a scanner reads off the printed page, at 200 dpi."""
    page = pdf.with_suffix("")
    subprocess.run(["pdftoppm", "-r", "200", "-png", "-singlefile", str(pdf), str(page)], check=True)
    with Image.open(page.with_suffix(".png")) as picture:
        found = zxingcpp.read_barcodes(picture)
    assert len(found) == 1
    return found[0].text


def check_by_number(page: Page, typed: str) -> None:
    page.goto("/c/")
    page.locator("#id_number").fill(typed)
    press(button(page, "Check"))


def test_no_button_and_no_address_grants_before_the_three_proofs(visitors: Visitors, do: Callable[..., Any]) -> None:
    page = visitors.window(do(cast.officer))
    person = do(cast.named, "Huamaní Ccori").pk
    page.goto(f"/people/{person}/standing/")
    expect(page.locator(f"a[href='/people/{person}/decide/granted/']")).to_have_count(0)
    page.goto(f"/people/{person}/decide/granted/")
    expect(page.locator("main form")).to_have_count(0)
    expect(page.locator("main .caution")).to_be_visible()
    page.goto(f"/people/{person}/card/")
    expect(page.get_by_role("alert")).to_contain_text("No card yet")
    expect(page.locator("main form")).to_have_count(0)


@pytest.mark.needs("pdftoppm")
def test_a_stranger_scans_the_printed_card_and_sees_today(
    visitors: Visitors, do: Callable[..., Any], site: Site, tmp_path: Path
) -> None:
    page = visitors.window(do(cast.officer))
    person = do(cast.named, WAITING).pk
    page.goto(f"/people/{person}/standing/")
    press(link(page, "Grant"))
    press(button(page, "Grant"))
    expect(page.locator(".state-big")).to_have_text("qualified")
    press(link(page, "Issue a card"))
    press(button(page, "Issue the card"))
    shown = page.locator("dd.code").first.inner_text()
    printed = page.context.request.get(link(page, "Print this card").get_attribute("href") or "")
    pdf = tmp_path / "card.pdf"
    pdf.write_bytes(printed.body())

    address = scanned(pdf)
    assert address.lower().startswith(site.address)
    gate = visitors.window(phone=True)
    gate.goto(address)
    expect(gate.locator(".verdict-word")).to_have_text("Valid")
    expect(gate.locator(".who-name")).to_have_text("Darnell Wickstrom")
    for typed in (shown, shown.replace("-", " ").lower().replace("0", "o").replace("1", "l")):
        check_by_number(gate, typed)
        expect(gate.locator(".verdict-word")).to_have_text("Valid")

    page.goto(f"/people/{person}/decide/suspended/")
    press(button(page, "Suspend"))
    expect(page.get_by_role("alert")).to_contain_text("Reason")  # not without a reason
    page.locator("textarea").fill("Near miss at the eave, to be talked through")
    press(button(page, "Suspend"))
    gate.goto(address)
    expect(gate.locator(".verdict-no")).to_contain_text("This card is suspended.")
    expect(gate.locator("main")).not_to_contain_text("Near miss")
    page.goto(f"/people/{person}/decide/restored/")
    press(button(page, "Lift the suspension"))
    gate.goto(address)
    expect(gate.locator(".verdict-word")).to_have_text("Valid")

    page.goto(f"/people/{person}/standing/")
    press(page.locator(".card-of a"))
    press(link(page, "Lost or damaged"))
    press(button(page, "Void the old card and issue a new one"))
    gate.goto(address)
    expect(gate.locator(".verdict-no")).to_contain_text("This card was replaced by a new one.")


@pytest.mark.parametrize(
    ("family", "sentence", "named"),
    [
        ("Zúñiga Patzán", "This card has run out.", True),
        ("Błażejczak", "This card is suspended.", False),
        ("Núñez Iturbide", "This card was withdrawn.", False),
    ],
    ids=["lapsed", "suspended", "withdrawn"],
)
def test_each_no_says_why_and_leaks_nothing_more(
    visitors: Visitors, do: Callable[..., Any], family: str, sentence: str, named: bool
) -> None:
    gate = visitors.window(phone=True)
    check_by_number(gate, do(cast.card_of, family).number)
    expect(gate.locator(".verdict-no")).to_contain_text(sentence)
    assert (family in gate.locator("main").inner_text()) is named
    expect(gate.locator(".scopes")).to_have_count(0)


def test_an_unknown_number_and_a_slip_of_the_finger_are_told_apart(visitors: Visitors, do: Callable[..., Any]) -> None:
    gate = visitors.window(phone=True)
    check_by_number(gate, number.shown("ABCDEFGH" + number.check_characters("ABCDEFGH")))
    expect(gate.locator(".verdict-no")).to_contain_text("There is no such card.")
    real = do(cast.card_of, "Dorcéus").number
    wrong = "7" if real[0] != "7" else "8"
    check_by_number(gate, wrong + real[1:])
    expect(gate.locator(".verdict-due")).to_be_visible()
    check_by_number(gate, "")
    expect(gate.locator("#id_number_error")).to_be_visible()
