"""The evaluator's checklist on a phone: judged at once, nothing typed is lost, a stop item ends it, signed once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser import cast, journey
from tests.browser.journey import button, fill_in, open_checklist, parts, press
from tests.browser.server import Site
from tests.browser.visitors import Visitors
from training import facts
from training.demo import acts
from training.models import Person, SignOff


@pytest.fixture
def trainee(do: Callable[..., Any], site: Site, request: pytest.FixtureRequest) -> Person:
    """Somebody who has read and passed the quiz."""
    person = do(cast.newcomer, "Quentin", f"Fernsby {request.node.name[5:9].title()}", "en")
    do(acts.read_all, person, site.clock.now())
    site.clock.forward(hours=1)
    do(acts.sit_quiz, person, site.clock.now())
    site.clock.forward(hours=1)
    return person


@pytest.fixture
def scopes(do: Callable[..., Any]) -> list[str]:
    return do(_some_scopes)


def _some_scopes() -> list[str]:
    """The first scope of the first two families."""
    from training.models.rules import qualification_in_force

    actor = cast.acting(cast.user_of(cast.EVALUATOR))
    book = facts.qualification(qualification_in_force(actor.employer, actor.today)).scopes
    return [family.scopes[0].key for family in book.families[:2]]


def _first_measured(found: list[dict[str, str]]) -> tuple[int, str]:
    """The first part with a measured value, and the field of that value."""
    return next(
        (number, name)
        for number, fields in enumerate(found, start=1)
        for name, value in fields.items()
        if value not in {"yes", "no", "0", "1", "2"}
    )


def test_a_value_is_judged_at_once_and_what_is_being_typed_stays(
    visitors: Visitors, do: Callable[..., Any], trainee: Person, scopes: list[str]
) -> None:
    phone = visitors.window(do(cast.user_of, cast.EVALUATOR), phone=True)
    sign_off = open_checklist(phone, trainee.pk, scopes)
    good = do(parts, sign_off)
    number, name = _first_measured(good)
    bad = do(parts, sign_off, [name.partition("-")[0]])[number - 1][name]
    phone.goto(f"/sign-off/{sign_off}/part/{number}/")
    here = phone.url
    field, judged = phone.locator(f"#{name}"), phone.locator(f"#judged-{name}")
    field.fill(bad)
    others = phone.locator("#part input.form-control:not([id$=reason])")
    with phone.expect_response("**/part/**"):
        others.last.press_sequentially("12", delay=20)  # the first answer comes back while this is typed
    expect(judged.locator(".judged-no")).to_contain_text(bad.split()[0])
    expect(others.last).to_have_value("12" if others.count() > 1 else f"{bad}12")
    others.last.fill("")
    field.fill("a good length")
    field.blur()
    expect(judged).to_contain_text("This cannot be read. Type a number and its unit.")
    expect(field).to_have_value("a good length")
    field.fill(good[number - 1][name])
    field.blur()
    expect(judged.locator(".judged-yes")).to_be_visible()
    assert phone.url == here
    phone.reload()
    expect(field).to_have_value(good[number - 1][name])


def test_a_whole_checklist_is_signed_once_and_never_changes(
    visitors: Visitors, do: Callable[..., Any], trainee: Person, scopes: list[str]
) -> None:
    phone = visitors.window(do(cast.user_of, cast.EVALUATOR), phone=True)
    sign_off = open_checklist(phone, trainee.pk, scopes)
    expect(button(phone, "Sign the result")).to_have_count(0)  # not before everything is filled in
    fill_all(phone, sign_off, do(parts, sign_off))
    press(button(phone, "Sign the result"))
    expect(phone.get_by_role("alert")).to_contain_text("Confirm this before you sign.")
    phone.locator("#id_confirm").check()
    press(button(phone, "Sign the result"))
    expect(phone.locator("h1 + .state")).to_have_text("passed")
    phone.goto(f"/sign-off/{sign_off}/part/1/")
    assert phone.url.endswith(f"/sign-off/{sign_off}/")
    assert do(SignOff.objects.get, pk=sign_off).result == "passed"


def test_a_stop_item_ends_the_hands_on(
    visitors: Visitors, do: Callable[..., Any], trainee: Person, scopes: list[str]
) -> None:
    phone = visitors.window(do(cast.user_of, cast.EVALUATOR), phone=True)
    sign_off = open_checklist(phone, trainee.pk, scopes)
    stop = do(_stop_item, sign_off)
    phone.goto(f"/sign-off/{sign_off}/part/1/")
    phone.locator(f"label.choice:has(input[name='{stop}-1'][value=no])").tap()
    expect(phone.locator("#stopped")).to_contain_text("STOP")
    phone.goto(f"/sign-off/{sign_off}/")
    phone.locator("#id_confirm").check()
    press(button(phone, "Sign the result"))
    expect(phone.locator("h1 + .state")).to_have_text("stopped")


def test_without_scripts_the_button_judges(
    visitors: Visitors, do: Callable[..., Any], trainee: Person, scopes: list[str]
) -> None:
    phone = visitors.window(do(cast.user_of, cast.EVALUATOR), phone=True, scripts=False)
    sign_off = open_checklist(phone, trainee.pk, scopes)
    number, name = _first_measured(do(parts, sign_off))
    bad = do(parts, sign_off, [name.partition("-")[0]])[number - 1][name]
    phone.goto(f"/sign-off/{sign_off}/part/{number}/")
    phone.locator(f"#{name}").fill(bad)
    press(button(phone, "Save and judge"))
    expect(phone.locator(f"#judged-{name} .judged-no")).to_contain_text(bad.split()[0])
    expect(phone.locator(f"#{name}")).to_have_value(bad)


def fill_all(page: Page, sign_off: int, found: list[dict[str, str]]) -> None:
    page.goto(f"/sign-off/{sign_off}/part/1/")
    for fields in found:
        fill_in(page, fields)
        journey.go(page, "next")
    assert page.url.endswith(f"/sign-off/{sign_off}/")


def _stop_item(sign_off: int) -> str:
    checklist = facts.checklist_of(SignOff.objects.get(pk=sign_off))
    return next(item.key for item in checklist.items if item.weight == "stop" and item.kind == "yes_no")
