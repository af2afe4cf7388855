"""What people do, click by click: the same steps with scripts and without, on a phone and on a desk."""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection
from typing import Any

from django.utils.translation import gettext, override
from playwright.sync_api import Locator, Page, expect

from tests.browser.server import Site
from tests.browser.visitors import TOUCH
from training import facts
from training.demo import acts
from training.demo.acts import right_answer, wrong_answer
from training.domain.units import show
from training.models import SignOff, Sitting

PIN = "83160427"


def said(text: str, language: str) -> str:
    """A text of the pages as the catalogue has it."""
    with override(language):
        return gettext(text)


def button(page: Page | Locator, text: str, language: str = "en") -> Locator:
    return page.get_by_role("button", name=said(text, language), exact=True)


def link(page: Page | Locator, text: str, language: str = "en") -> Locator:
    return page.get_by_role("link", name=said(text, language), exact=True)


def settle(page: Page) -> None:
    """Waits for what the page itself has asked for, so that nothing moves while it is being pressed."""
    expect(page.locator(".htmx-request, .htmx-swapping, .htmx-settling")).to_have_count(0)


def press(target: Locator) -> None:
    """With a finger where the window has touch, else with the mouse; and wait for the page that comes of it."""
    settle(target.page)
    with target.page.expect_navigation():
        if target.page.context in TOUCH:
            target.tap()
        else:
            target.click()


# --- signing in ---------------------------------------------------------------------------------------------------


def sign_in(page: Page, code: str, secret: str, language: str = "en") -> None:
    page.goto("/sign-in/")
    page.locator("#id_username").fill(code)
    page.locator("#id_password").fill(secret)
    press(button(page.locator("main"), "Sign in", language))


def choose_pin(page: Page, pin: str, language: str = "en") -> None:
    page.locator("#id_secret").fill(pin)
    page.locator("#id_again").fill(pin)
    press(button(page, "Save", language))


def add_person(page: Page, given: str, family: str, language: str) -> tuple[str, str]:
    """The officer adds somebody and gives a sign-in; returns what stands on the slip: code and PIN."""
    page.goto("/people/new/")
    page.locator("#id_given_names").fill(given)
    page.locator("#id_family_names").fill(family)
    page.locator("#id_language").select_option(language)
    page.locator("#id_crew").select_option(index=1)
    page.locator("#id_starts").fill(str(datetime.date.today() - datetime.timedelta(days=30)))
    press(button(page, "Save"))
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{given} {family}")
    press(button(page, "Give a sign-in"))
    code, pin = page.locator(".code-big").all_text_contents()
    return code, pin


# --- reading ------------------------------------------------------------------------------------------------------


def read_everything(page: Page, site: Site, language: str = "en") -> int:
    """From the path through every section of every document, each with the time it takes; returns how many."""
    read = 0
    page.goto("/my/path/")
    while "/quiz/" not in (page.locator(".next-step .btn").get_attribute("href") or ""):
        press(page.locator(".next-step .btn"))
        press(page.locator("p.actions .btn"))
        while button(page, "I have read and understood this part", language).count():
            site.clock.forward(minutes=2)
            press(button(page, "I have read and understood this part", language))
            read += 1
        page.goto("/my/path/")
    return read


# --- the quiz -----------------------------------------------------------------------------------------------------


def answers(sitting: int, language: str, wrong: Collection[int] = ()) -> list[tuple[str, str, bool]]:
    """Of each question: how it is answered, what to send, and whether it is critical. For the desk only."""
    asked = facts.questions_of(Sitting.objects.get(pk=sitting))
    return [
        (one.answer, wrong_answer(one) if place in wrong else right_answer(one, language), one.critical)
        for place, one in enumerate(asked)
    ]


def sitting_of(page: Page) -> int:
    found = re.search(r"/quiz/(\d+)/", page.url)
    assert found
    return int(found[1])


def answer(page: Page, kind: str, sent: str) -> None:
    """Puts one answer on the page, unsaved."""
    if kind in {"one", "many"}:
        for letter in sent.split(","):
            page.locator(f"input[name=answer][value='{letter}']").check()
    elif kind == "order":
        for place, letter in enumerate(sent.split(",")):
            page.locator(f"#place-{place}").select_option(letter)
    else:
        page.locator("#answer").fill(sent)


def go(page: Page, where: str) -> None:
    """Saves and goes on, back or to the overview."""
    press(page.locator(f"button[name=go][value={where}]"))


# --- the hands-on -------------------------------------------------------------------------------------------------


def open_checklist(page: Page, person: int, scopes: Collection[str], language: str = "en") -> int:
    """The evaluator opens a checklist; returns its number."""
    page.goto(f"/evaluate/{person}/")
    for scope in scopes:
        page.locator(f"input[name=scopes][value='{scope}']").check()
    for name, text in acts.SETTING.items():
        page.locator(f"#id_{name}").fill(text)
    press(button(page, "Open the checklist", language))
    found = re.search(r"/sign-off/(\d+)/", page.url)
    assert found
    return int(found[1])


def parts(sign_off: int, bad: Collection[str] = ()) -> list[dict[str, str]]:
    """What to enter in each part of a checklist, by the names of the fields. For the desk only."""
    checklist = facts.checklist_of(SignOff.objects.get(pk=sign_off))
    found: dict[str, dict[str, str]] = {}
    for item in checklist.items:
        fields = found.setdefault(item.group["en"], {})
        for n in range(item.repeat):
            fields[f"{item.key}-{n + 1}"] = _seen(checklist, item, n, item.key in bad)
    return list(found.values())


def _seen(checklist: Any, item: Any, n: int, bad: bool) -> str:
    if item.kind == "yes_no":
        return "no" if bad else "yes"
    if item.kind == "rating":
        return "0" if bad else "2"
    return show(acts.reading(checklist.limit(item), n, bad), "en")


def fill_in(page: Page, fields: dict[str, str]) -> None:
    """Enters what was seen in the part that is open."""
    for name, value in fields.items():
        if page.locator(f"input[name='{name}'][type=radio]").count():
            page.locator(f"label.choice:has(input[name='{name}'][value='{value}'])").click()
        else:
            page.locator(f"input[name='{name}']").fill(value)
