"""Sessions, sign-in and headers: who is let in, for how long, and what every answer tells the browser."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.factories import UserFactory
from tests.web.browsing import browser, undone, whole
from tests.web.cast import PIN, World
from tests.web.routes import ROUTES, Route
from training.actions import access, people
from training.models import Person, User
from training.permissions import Actor, actor_for

pytestmark = pytest.mark.django_db

each = pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.name)
SIGN_IN = "/sign-in/"


def officer(world: World) -> User:
    return world.ours.user("officer")


def boss(world: World) -> Actor:
    return actor_for(officer(world), now=timezone.now())


def signed_in(client: Client) -> bool:
    return client.get("/sign-in/secret/").status_code == 200


# --- Sessions end --------------------------------------------------------------------------------------------------


def test_whoever_left_the_company_gets_nothing_more_from_it(world: World) -> None:
    person = Person.objects.get(pk=world.ours.holder.pk)
    client, by = browser(person.user), boss(world)
    assert client.get("/my/path/").status_code == 200
    people.end_membership(by=by, person=person, ends=by.today - datetime.timedelta(days=1))
    for route in ROUTES:
        if route.access != "public" and route.name != "training:change_secret":
            for answer in (client.get(route.path(world.ours)), client.post(route.path(world.ours))):
                assert answer.status_code in {403, 404, 405}, route.name
    assert "not employed by a company" in client.get("/").content.decode()


def test_an_evaluator_who_left_signs_no_more(world: World) -> None:
    evaluator = Person.objects.get(pk=world.ours.evaluator.pk)
    client, by = browser(evaluator.user), boss(world)
    people.end_membership(by=by, person=evaluator, ends=by.today - datetime.timedelta(days=1))
    address = reverse("training:sign_off_sign", args=[world.ours.open_sign_off.pk])
    assert client.post(address, {"confirm": "on"}).status_code == 403


def test_on_the_last_day_everything_still_opens(world: World) -> None:
    person, by = Person.objects.get(pk=world.ours.holder.pk), boss(world)
    people.end_membership(by=by, person=person, ends=by.today)
    assert browser(person.user).get("/my/path/").status_code == 200


def test_a_new_pin_ends_every_session(world: World) -> None:
    person = Person.objects.get(pk=world.ours.holder.pk)
    phone, tablet = browser(person.user), browser(person.user)
    access.give_access(by=boss(world), person=person)
    assert not signed_in(phone)
    assert not signed_in(tablet)


def test_choosing_a_new_pin_ends_the_other_sessions_and_keeps_this_one(world: World) -> None:
    person = Person.objects.get(pk=world.ours.holder.pk)
    phone, lost = browser(person.user), browser(person.user)
    answer = phone.post("/sign-in/secret/", {"secret": "829164", "again": "829164"})
    assert answer.status_code == 302
    assert signed_in(phone)
    assert not signed_in(lost)


def test_who_may_no_longer_sign_in_is_out_at_once(world: World) -> None:
    client = browser(officer(world))
    User.objects.filter(pk=officer(world).pk).update(is_active=False)
    assert client.get("/board/")["Location"].startswith(SIGN_IN)


def test_an_officer_whose_appointment_ended_is_out(world: World) -> None:
    client, by = browser(officer(world)), boss(world)
    officer(world).appointments.update(ends=by.today - datetime.timedelta(days=1))
    assert client.get("/board/").status_code == 403


def test_signing_in_changes_the_session_and_signing_out_forgets_it() -> None:
    """OWASP ASVS 5.0, 7.2.4 and 7.4.1: a new token at sign-in, none left after sign-out."""
    UserFactory(login="ines")
    client = Client()
    session = client.session
    session["seen"] = "before"
    session.save()
    client.cookies[settings.SESSION_COOKIE_NAME] = before = session.session_key
    client.post(SIGN_IN, {"username": "ines", "password": "roof-tile-adhesive-1"})
    after = client.cookies[settings.SESSION_COOKIE_NAME].value
    assert after != before
    client.post("/sign-out/")
    assert not Session.objects.filter(session_key__in=[before, after]).exists()


def test_a_first_pin_must_be_changed_before_anything_opens(world: World) -> None:
    person = Person.objects.get(pk=world.ours.holder.pk)
    slip = access.give_access(by=boss(world), person=person)
    client = Client()
    client.post(SIGN_IN, {"username": slip.user.login, "password": slip.secret})
    for path in ("/my/path/", "/quiz/", "/my/card/", reverse("training:person_photo", args=[person.pk])):
        assert client.get(path)["Location"].startswith("/sign-in/secret/?next=")
    assert slip.secret != PIN


def test_the_pin_of_the_slip_is_not_ones_own(world: World) -> None:
    slip = access.give_access(by=boss(world), person=Person.objects.get(pk=world.ours.holder.pk))
    client = Client()
    client.post(SIGN_IN, {"username": slip.user.login, "password": slip.secret})
    answer = client.post("/sign-in/secret/", {"secret": slip.secret, "again": slip.secret})
    assert answer.status_code == 200
    assert User.objects.get(pk=slip.user.pk).must_change_secret


# --- Where a sign-in leads ----------------------------------------------------------------------------------------

ELSEWHERE = [
    "https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)", "http:///evil.example",
    "\t//evil.example", "https:evil.example", "http://testserver.evil.example/", "data:text/html,x", "\x00/",
]  # fmt: skip


@pytest.mark.parametrize("wanted", ELSEWHERE)
def test_a_sign_in_never_leads_to_another_site(world: World, wanted: str) -> None:
    """OWASP ASVS 5.0, 3.7.2 (from memory): redirects only to places on a list."""
    data = {"username": officer(world).login, "password": "roof-tile-adhesive-1", "next": wanted}
    assert Client().post(SIGN_IN, data)["Location"] == "/"
    assert Client().post(f"{SIGN_IN}?next=%2Fpeople%2F", data)["Location"] == "/"
    assert browser(officer(world)).get(SIGN_IN, {"next": wanted})["Location"] == "/"
    sent = browser(officer(world)).post("/language/", {"language": "es", "next": wanted})["Location"]
    assert sent.startswith("/") and not sent.startswith(("//", "/\\"))


def test_a_sign_in_leads_back_to_the_page_that_was_asked_for(world: World) -> None:
    asked = Client().get("/people/?q=x")["Location"]
    data = {"username": officer(world).login, "password": "roof-tile-adhesive-1"}
    assert asked == "/sign-in/?next=/people/%3Fq%3Dx"
    assert Client().post(asked, data)["Location"] == "/people/?q=x"


def test_a_form_sent_after_the_session_ended_leads_back_to_its_page(world: World) -> None:
    address = reverse("training:person_leave", args=[world.ours.holder.pk])
    page = reverse("training:person", args=[world.ours.holder.pk])
    assert (
        Client().post(address, headers={"referer": f"http://testserver{page}"})["Location"] == f"{SIGN_IN}?next={page}"
    )
    for referrer in ("", "https://evil.example/x", "x"):
        assert Client().post(address, headers={"referer": referrer})["Location"] == f"{SIGN_IN}?next=/"


def _part(world: World) -> str:
    return reverse("training:sign_off_part", args=[world.ours.sign_off.pk, 1])


def test_what_was_typed_when_the_session_ended_is_sent_again_after_signing_in(world: World) -> None:
    evaluator, page = Person.objects.get(pk=world.ours.evaluator.pk).user, _part(world)
    for headers in ({}, {"HX-Request": "true"}):
        client = Client()
        sent = client.post(page, {"B01-1": "70 F"}, headers={"referer": f"http://testserver{page}", **headers})
        lead = sent.headers.get("HX-Redirect") or sent["Location"]
        client.post(lead, {"username": evaluator.login, "password": PIN})
        again = client.get(page).content.decode()
        assert f'action="{page}"' in again and 'name="B01-1" value="70 F"' in again
        assert 'value="70 F"' not in client.get(reverse("training:evaluate")).content.decode()
        assert "Send it now" not in client.get(page).content.decode()  # offered once


@pytest.mark.parametrize("typed", [{"x": "y" * 21_000}, {"secret": "83160427"}])
def test_nothing_large_and_no_secret_is_kept_for_later(world: World, typed: dict[str, str]) -> None:
    client = Client()
    client.post(_part(world), typed)
    assert "kept_form" not in client.session


@pytest.mark.parametrize("origin", ["http://testserver", "https://evil.example", None])
def test_a_form_whose_token_ran_out_is_offered_again_only_to_our_own_pages(world: World, origin: str | None) -> None:
    client = Client(enforce_csrf_checks=True)
    headers = {"origin": origin} if origin else {}
    answer = client.post(_part(world), {"B01-1": "70 F"}, headers=headers)
    assert answer.status_code == 403
    assert ('value="70 F"' in answer.content.decode()) == (origin == "http://testserver")


# --- Language -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", ["xx", "", "es\r\nX: y", "../../etc", "e" * 5000, "ES", "\x00", "es-MX", "en_US"])
def test_any_language_cookie_gives_a_page(world: World, value: str) -> None:
    client = browser(officer(world))
    client.cookies.load({settings.LANGUAGE_COOKIE_NAME: value.replace("\r\n", "")})
    page = client.get("/people/").content.decode()
    assert '<html lang="en"' in page or '<html lang="es"' in page


@pytest.mark.parametrize("value", ["xx", "", "es\r\nX: y", "\x00", "e" * 5000])
def test_only_a_language_that_is_there_is_remembered(value: str) -> None:
    answer = Client().post("/language/", {"language": value, "next": "/style/"})
    assert answer.status_code == 302
    assert settings.LANGUAGE_COOKIE_NAME not in answer.cookies


def test_the_language_button_of_an_error_page_leads_to_a_page(world: World) -> None:
    """A page that answers a form has an address that takes no other visit."""
    client, person = browser(officer(world)), world.ours.holder.pk
    for name, back in (("person_leave", "person"), ("person_access", "person"), ("person_photo_set", "person")):
        with undone():
            page = client.post(reverse(f"training:{name}", args=[person]), {"ends": "x"}).content.decode()
        assert f'name="next" value="{reverse(f"training:{back}", args=[person])}"' in page


# --- Every answer -------------------------------------------------------------------------------------------------


def admitted(world: World, route: Route) -> User | None:
    own = {"person": route.own, "evaluator": "evaluator", "public": None}.get(route.access, "officer")
    return world.ours.user(own) if own else None


def answers(world: World, route: Route) -> Iterator:
    """The answers to those who may come in and to those who may not, found and not found."""
    path = route.path(world.ours)
    for client in (browser(admitted(world, route)), Client(), browser(world.theirs.user("holder"))):
        for method in (client.get, client.post):
            with undone():
                yield whole(method(path))
    yield Client().get(f"{path}nowhere")


@each
def test_every_answer_has_the_headers_that_protect_it(world: World, route: Route) -> None:
    """OWASP ASVS 5.0, 3.4: CSP that lets nothing inline run, no sniffing, no frames, no referrer for other sites."""
    for answer in answers(world, route):
        policy = answer["Content-Security-Policy"]
        assert "default-src" in policy
        assert "unsafe-inline" not in policy and "unsafe-eval" not in policy and "*" not in policy
        if "sandbox" not in policy:
            for part in ("script-src 'self'", "frame-ancestors 'none'", "object-src 'none'", "base-uri 'none'",
                         "form-action 'self'"):  # fmt: skip
                assert part in policy, part
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["X-Frame-Options"] == "DENY"
        assert answer["Referrer-Policy"] in {"same-origin", "no-referrer"}
        assert answer["Cross-Origin-Opener-Policy"] == "same-origin"


@each
def test_no_page_runs_anything_inline(world: World, route: Route) -> None:
    page = whole(browser(admitted(world, route)).get(route.path(world.ours)))
    if page.status_code == 200 and page["Content-Type"].startswith("text/html"):
        html = page.body.decode()
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", html)
        assert not re.search(r"<script(?![^>]*\ssrc=)", html)


@each
def test_no_page_of_somebody_signed_in_is_kept(world: World, route: Route) -> None:
    if route.access == "public":
        pytest.skip("open to anybody")
    with undone():
        answer = whole(browser(admitted(world, route)).get(route.path(world.ours)))
    kept = answer["Cache-Control"]
    assert "private" in kept
    files = {"training:person_photo", "training:section_file"}
    assert "no-store" in kept or route.name in files


def test_the_answer_about_a_card_is_kept_and_found_nowhere(world: World) -> None:
    for path in ("/c/", f"/c/?number={world.ours.card.number}", f"/c/{world.ours.card.secret}/", "/c/unknown/"):
        answer = Client().get(path)
        assert "no-store" in answer["Cache-Control"]
        assert "noindex" in answer["X-Robots-Tag"]
        # `no-referrer` would send `Origin: null` with the language button, which is refused; other sites get nothing.
        assert answer["Referrer-Policy"] in {"same-origin", "no-referrer"}
        assert not answer.cookies.get(settings.SESSION_COOKIE_NAME)


@pytest.mark.parametrize("route", [it for it in ROUTES if it.post != 405], ids=lambda route: route.name)
def test_a_form_from_another_site_is_refused(world: World, route: Route) -> None:
    client = Client(enforce_csrf_checks=True)
    user = admitted(world, route)
    if user is not None:
        client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    answer = client.post(route.path(world.ours), headers={"origin": "https://evil.example"})
    assert answer.status_code == 403
    assert b"<h1" in answer.content
