"""The whole way from a name to a card with scripts turned off."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from playwright.sync_api import expect

from tests.browser import cast, journey
from tests.browser.journey import answer, button, choose_pin, fill_in, go, link, open_checklist, press, sign_in
from tests.browser.server import Site
from tests.browser.visitors import Visitors
from training.demo.player import PASSWORD


def test_from_a_name_to_a_card_that_a_stranger_can_check(
    visitors: Visitors, do: Callable[..., Any], site: Site
) -> None:
    office = visitors.window(scripts=False)
    sign_in(office, cast.OFFICER, PASSWORD)
    code, pin = journey.add_person(office, "Rosalba", "Chinchilla Ordóñez", "en")
    person = do(cast.named, "Chinchilla Ordóñez").pk

    phone = visitors.window(phone=True, scripts=False)
    sign_in(phone, code, pin)
    choose_pin(phone, journey.PIN)
    assert journey.read_everything(phone, site) == 12
    press(phone.locator(".next-step .btn"))
    press(button(phone, "Start the quiz"))
    for kind, sent, _critical in do(journey.answers, journey.sitting_of(phone), "en"):
        answer(phone, kind, sent)
        go(phone, "next")
    press(button(phone, "Hand in"))
    expect(phone.locator(".verdict-yes")).to_be_visible()

    yard = visitors.window(do(cast.user_of, cast.EVALUATOR), phone=True, scripts=False)
    sign_off = open_checklist(yard, person, ["profile:low"])
    yard.goto(f"/sign-off/{sign_off}/part/1/")
    for fields in do(journey.parts, sign_off):
        fill_in(yard, fields)
        go(yard, "next")
    yard.locator("#id_confirm").check()
    press(button(yard, "Sign the result"))
    expect(yard.locator("h1 + .state")).to_have_text("passed")

    office.goto(f"/people/{person}/standing/")
    press(link(office, "Grant"))
    press(button(office, "Grant"))
    press(link(office, "Issue a card"))
    press(button(office, "Issue the card"))
    secret = do(cast.card_of, "Chinchilla Ordóñez").secret
    gate = visitors.window(phone=True, scripts=False)
    gate.goto(f"/c/{secret}/")
    expect(gate.locator(".verdict-word")).to_have_text("Valid")
    press(link(phone, "Back to my path"))
    press(link(phone, "My card"))
    expect(phone.locator(".card-side")).to_have_count(2)
