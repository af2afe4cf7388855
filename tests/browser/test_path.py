"""The path of somebody new: the slip, the first sign-in, the reading and the quiz, in Spanish on a phone."""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

from playwright.sync_api import expect

from tests.browser import cast, journey
from tests.browser.journey import answer, button, choose_pin, go, press, read_everything, said, sign_in
from tests.browser.server import Site
from tests.browser.visitors import Visitors
from training import facts
from training.demo import acts
from training.models import Sitting


def test_a_slip_opens_the_door_once_and_asks_for_a_pin_of_ones_own(visitors: Visitors, do: Callable[..., Any]) -> None:
    desk = visitors.window(do(cast.officer))
    code, pin = journey.add_person(desk, "Eulalia", "Xuncax Baltazar", "es")
    phone = visitors.window(phone=True, language="es")
    sign_in(phone, code.lower(), "00000000", "es")
    expect(phone.get_by_role("alert")).to_contain_text(
        said("The code and the PIN do not fit together. Try again, or ask your safety officer for a new PIN.", "es")
    )
    sign_in(phone, code.lower(), pin, "es")
    expect(phone.get_by_role("heading", level=1)).to_have_text(said("Choose your PIN", "es"))
    phone.goto("/my/path/")
    expect(phone.get_by_role("heading", level=1)).to_have_text(said("Choose your PIN", "es"))
    choose_pin(phone, "123456", "es")
    expect(phone.locator("main")).to_contain_text(said("This PIN is easy to guess. Choose another one.", "es"))
    choose_pin(phone, journey.PIN, "es")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Colocación de teja con adhesivo de un componente")
    again = visitors.window(phone=True, language="es")
    sign_in(again, code, pin, "es")
    expect(again.get_by_role("alert")).to_be_visible()
    sign_in(again, code, journey.PIN, "es")
    expect(again.locator(".next-step")).to_be_visible()


def test_a_section_is_read_in_its_own_time_and_the_place_is_kept(
    visitors: Visitors, do: Callable[..., Any], site: Site
) -> None:
    reader = do(cast.newcomer, "Wendell", "Osterhagen")
    phone = visitors.window(reader.user, phone=True, language="es")
    phone.goto("/my/path/")
    press(phone.locator(".next-step .btn"))
    press(phone.locator("p.actions .btn"))
    first = phone.url
    confirm = button(phone, "I have read and understood this part", "es")
    press(confirm)  # scroll and click once does not count
    expect(phone.get_by_role("alert")).to_be_visible()
    site.clock.forward(minutes=2)
    press(confirm)
    assert phone.url != first
    second = phone.url
    phone.context.close()
    later = visitors.window(reader.user, phone=True, language="es")
    later.goto("/my/path/")
    press(later.locator(".next-step .btn"))
    press(later.locator("p.actions .btn"))
    assert later.url == second
    assert read_everything(later, site, "es") == 11
    assert do(facts.standing_of, reader, do(_qualification, reader), do(_today, reader)).step("reading").done


def test_a_language_switch_a_closed_phone_and_a_second_hand_in_lose_nothing(
    visitors: Visitors, do: Callable[..., Any], site: Site
) -> None:
    learner = do(cast.newcomer, "Noelia", "Ixcot Barrera")
    do(acts.read_all, learner, site.clock.now())
    site.clock.forward(hours=1)
    phone = visitors.window(learner.user, phone=True, language="es")
    phone.goto("/quiz/")
    press(button(phone, "Start the quiz", "es"))
    sitting = journey.sitting_of(phone)
    plan = do(journey.answers, sitting, "es", do(_two_misses, sitting))
    seen = ""

    kind, sent, _critical = plan[0]
    answer(phone, kind, sent)
    chosen = _given(phone)
    press(phone.locator(".quiz-language button"))
    expect(phone.locator("html")).to_have_attribute("lang", "en")
    assert _given(phone) == chosen
    press(phone.locator(".quiz-language button"))
    expect(phone.locator("html")).to_have_attribute("lang", "es")
    for kind, sent, _critical in plan[:7]:
        seen += phone.content()
        answer(phone, kind, sent)
        go(phone, "next")
    phone.context.close()

    phone = visitors.window(learner.user, phone=True, language="es")
    phone.goto("/my/path/")
    press(phone.locator(".next-step .btn"))
    press(phone.locator("main .btn-primary"))
    assert phone.url.endswith(f"/quiz/{sitting}/8/")
    for kind, sent, _critical in plan[7:]:
        seen += phone.content()
        answer(phone, kind, sent)
        go(phone, "next")
    expect(phone.locator(".unanswered")).to_have_count(0)
    told = html.unescape(seen)  # the key stays at home until it is marked
    assert [why for why in do(_explanations, sitting) if why in told] == []

    press(button(phone, "Hand in", "es"))
    expect(phone.locator(".verdict-yes")).to_contain_text("18")
    misses = phone.locator(".miss")
    expect(misses).to_have_count(2)
    for miss in misses.all():
        expect(miss.locator("dt")).to_contain_text(
            [said(word, "es") for word in ("Your answer", "The rule", "Why it matters", "Source")]
        )
    marked = phone.content()
    phone.go_back()
    phone.goto(f"/quiz/{sitting}/review/")
    assert phone.url.endswith("/result/")
    assert _body(phone.content()) == _body(marked)
    assert do(Sitting.objects.filter(person=learner).count) == 1


def _given(page: Any) -> list[str]:
    return page.eval_on_selector_all(
        "input[name=answer]:checked, #answer, select", "found => found.map(one => one.value)"
    )


def _body(page: str) -> str:
    return page[page.index("<main") : page.index("</main>")]


def _two_misses(sitting: int) -> list[int]:
    """Two questions that are not critical, and that can be answered wrongly by a tap."""
    asked = facts.questions_of(Sitting.objects.get(pk=sitting))
    return [place for place, one in enumerate(asked) if not one.critical and one.answer == "one"][:2]


def _explanations(sitting: int) -> list[str]:
    asked = facts.questions_of(Sitting.objects.get(pk=sitting))
    return [one.why["es"] for one in asked]


def _qualification(person: Any) -> Any:
    from training.models.rules import qualification_in_force

    return qualification_in_force(person.company, _today(person))


def _today(person: Any) -> Any:
    return cast.acting(person.user).today
