"""Whatever is typed, chosen, sent or mangled: a sentence that says what to do, nothing lost, never a crash."""

from __future__ import annotations

import json
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import resolve

from tests.web.browsing import browser, undone, whole
from tests.web.cast import World
from tests.web.page_forms import LONG, REFUSED, PageForm, forms_of, wrong_files
from tests.web.routes import ROUTES, Route
from training.content import demo_rule_book
from training.models import User

pytestmark = pytest.mark.django_db

PAGES = [route for route in ROUTES if route.get == 200 or "nobody" in route.gets]
PAGES += [  # pages that show other forms to other people, or of another row
    Route("training:document", "no draft", "officer", 200, 405),
    Route("training:revision", "draft", "officer", 200, 405),
    Route("training:quiz", "", "person", 200, 405, own="reader"),
    Route("training:read_section", "read part", "person", 200, 409, own="newcomer"),
    Route("training:sign_off", "open", "evaluator", 200, 405),
    Route("training:person", "left", "officer", 200, 405),
    Route("training:import_confirm", "open import", "officer", 200, 302),
    Route("training:practice", "", "person", 302, 302),
    Route("training:rule_book_revision", "book draft", "officer", 200, 405),
    Route("training:rule_draft_review", "book draft", "evaluator", 200, 302),
]
ELSEWHERE = {"training:rule_book_impact", "training:mark_again", "training:rule_draft_review"}
"""Their forms stand there only once a second revision is issued or a draft is whole; their own tests fill them in."""

SIGN_OUT, LANGUAGE = "/sign-out/", "/language/"
KEEPS_ANYTHING = {"training:question", "training:sign_off_part", "training:import_rows"}
"""Notes under way: what cannot be read is kept as typed, and said beside it."""


def admitted(world: World, route: Route) -> User | None:
    """Somebody who may see the page."""
    if "nobody" in route.gets:
        return None
    own = {"person": route.own, "evaluator": "evaluator"}.get(route.access, "officer")
    return None if route.access == "public" else world.ours.user(own)


def name_of(path: str) -> str:
    return resolve(path.partition("?")[0]).view_name


def send(client: Client, form: PageForm, data: dict[str, Any]) -> Any:
    """The answer to a form; nothing of it stays."""
    client.cookies.pop("messages", None)
    with undone():
        return getattr(client, form.method)(form.action, data)


def own_forms(client: Client, path: str) -> list[PageForm]:
    """The forms of a page without those of the page frame."""
    page = whole(client.get(path, follow=True))
    found = forms_of(page.body, page.request["PATH_INFO"] + ("?" + page.request["QUERY_STRING"]).rstrip("?"))
    return [form for form in found if form.action not in {SIGN_OUT, LANGUAGE} and form.action.startswith("/")]


pages = pytest.mark.parametrize("route", PAGES, ids=lambda route: route.name)


def test_every_address_that_takes_a_form_has_its_form_on_a_page(world: World) -> None:
    found = {LANGUAGE: "set_language", SIGN_OUT: "training:sign_out"}
    for route in PAGES:
        for form in own_forms(browser(admitted(world, route)), route.path(world.ours)):
            if form.method == "post":
                found[form.action] = name_of(form.action)
    takes = {route.name for route in ROUTES if route.post != 405}
    assert takes - set(found.values()) == ELSEWHERE


@pages
def test_spoilt_forms_are_answered_with_what_to_mend(world: World, route: Route) -> None:
    client = browser(admitted(world, route))
    for form in own_forms(client, route.path(world.ours)):
        for name, value, data in form.spoilt():
            answer = send(client, form, data)
            said = f"{form.action}: {name}={str(value)[:40]!r} -> {answer.status_code}"
            assert answer.status_code in {200, 302, 400, 404, 409, 413}, said
            refused = value in REFUSED.get(form.controls[name].kind, [])
            if form.method == "post" and refused and name_of(form.action) not in KEEPS_ANYTHING:
                assert answer.status_code != 302, said
            if form.method == "post" and answer.status_code != 302:
                assert_kept(answer, form, data, said)


def assert_kept(answer: Any, form: PageForm, data: dict[str, Any], said: str) -> None:
    """What was typed stands in the page again."""
    page = {one.action: one for one in forms_of(answer.content, form.action)}
    again = page.get(form.action)
    assert again is not None, f"{said}: the form is gone"
    for name, typed in form.typed(data).items():
        if "\x00" in typed or not typed.isprintable():
            continue
        assert again.controls[name].value == typed, f"{said}: {name} is lost"


@pages
def test_empty_and_overlong_forms_are_refused_kindly(world: World, route: Route) -> None:
    client = browser(admitted(world, route))
    for form in own_forms(client, route.path(world.ours)):
        button = dict([form.button]) if form.button else {}
        every = {name: LONG for name, one in form.controls.items() if one.kind != "file"}
        for data in ({"x": "y"}, button, every, every | button):
            assert send(client, form, data).status_code in {200, 302, 400, 404, 409}, form.action


READ_AS_TEXT = {"words.png", "page.pdf", "list.json", "deep.json", "number.json", "page.html", "shell.svg"}
"""A crew list of plain text is a list whatever its name is; its cells are only ever shown as text."""


@pages
def test_wrong_files_are_refused_with_a_sentence(world: World, route: Route) -> None:
    client = browser(admitted(world, route))
    for form in own_forms(client, route.path(world.ours)):
        for name in form.files():
            for file in wrong_files().values():
                answer = send(client, form, form.filled() | {name: file})
                if name_of(form.action) == "training:imports" and file.name in READ_AS_TEXT:
                    continue
                assert answer.status_code in {200, 400}, f"{form.action} {name} {file.name}: {answer.status_code}"
                assert "is-invalid" in answer.content.decode() or "form-errors" in answer.content.decode(), file.name


MANGLED = [
    "page=abc", "page=-1", f"page={10**30}", "page=0", "page=%00", "page=1&page=2", "q=%00", f"q={'x' * 5000}",
    "q=%ff%fe", "q=%2525", "on=0000", "on=2026-02-30", "on=9999-12-31", "on=0001-01-01", "on=1900-01-01",
    "on=2200-01-01", "on=%00", "crew=x", f"crew={10**30}", "crew=%00", "scope=x", "scope=%00", "kind=x", "kind=%00",
    "kind=granted'--", "person=x", f"person={10**11}", f"person={10**30}", "person=%C2%B2", "show=x", "show=%00",
    "rows=all&page=zz", "card=%C2%B2", f"card={10**11}", "number=%00", "number=" + "%F0%9F%A7%B1" * 20, "next=//x.y",
    "next=%00", "next=/%0d%0aX:y", "&&&===", "%", "a[]=1&a[b]=2", "format=xml",
]  # fmt: skip


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.name)
def test_mangled_query_strings_are_answered(world: World, route: Route) -> None:
    client, path = browser(admitted(world, route)), route.path(world.ours)
    for query in MANGLED:
        with undone():
            status = whole(client.get(f"{path}?{query}")).status_code
        assert status in {200, 302, 400, 404, 405}, f"{path}?{query}: {status}"


BROKEN_BODIES = {
    "no boundary": ("multipart/form-data", b"nonsense"),
    "cut off": ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n1'),
    "not UTF-8": ("application/x-www-form-urlencoded", b"name=%ff%fe%00&starts=\xff"),
    "JSON": ("application/json", b'{"name": 1}'),
    "unknown charset": ("application/x-www-form-urlencoded; charset=klingon", b"name=x"),
    "too many fields": ("application/x-www-form-urlencoded", b"&".join(b"a%d=1" % n for n in range(3100))),
    "too long": ("application/x-www-form-urlencoded", b"name=" + b"x" * (3 * 1024 * 1024)),
}


@pytest.mark.parametrize("route", [it for it in ROUTES if it.post != 405], ids=lambda route: route.name)
def test_broken_bodies_are_answered(world: World, route: Route) -> None:
    client, path = browser(admitted(world, route)), route.path(world.ours)
    for name, (kind, body) in BROKEN_BODIES.items():
        with undone():
            status = client.generic("POST", path, body, content_type=kind).status_code
        assert status in {200, 302, 400, 409, 413}, f"{path} {name}: {status}"


@pytest.mark.parametrize("sign", ["\\u0000", "\\ud800", "\x00"])
def test_a_rule_book_with_signs_that_no_database_keeps_is_refused(world: World, sign: str) -> None:
    """RFC 8259, 8.2: half a surrogate pair is no text; PostgreSQL keeps no NUL in text or jsonb (its manual, 8.14)."""
    book = json.dumps(demo_rule_book()).replace("Quendril One", f"Quendril {sign}", 1)
    data = {"slug": "other", "effective_on": "2026-01-01", "file": SimpleUploadedFile("book.json", book.encode())}
    with undone():
        answer = browser(world.ours.user("officer")).post("/rule-book/", data)
    assert answer.status_code == 200
    assert "is-invalid" in answer.content.decode()


def test_a_page_of_a_refusal_says_what_to_do(world: World) -> None:
    client = browser(world.ours.user("officer"))
    page = BeautifulSoup(client.get("/board/?on=0000").content, "html.parser")
    assert "Choose day, crew and scope again" in page.get_text()
