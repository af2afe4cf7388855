"""The page frame: what each role is offered, pages that need no request, and a policy that forbids inline code."""

import re
from types import SimpleNamespace

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from training.forms.style import sample
from training.navigation import navigation

ERROR_PAGES = ["400.html", "403.html", "403_csrf.html", "404.html", "409.html", "500.html"]


def offered(path: str = "/", **actor: object) -> set[str]:
    menu = navigation(SimpleNamespace(**actor) if actor else None, path)
    return {str(item.label) for item in [*menu.first, *menu.more]}


@pytest.mark.parametrize("page", ERROR_PAGES)
def test_an_error_page_needs_neither_request_nor_database(page: str) -> None:
    assert "Headlap" in render_to_string(page, {})


@pytest.mark.parametrize("page", ERROR_PAGES)
def test_an_error_page_says_the_reason_it_is_given(page: str) -> None:
    assert "Wait until &lt;b&gt; noon." in render_to_string(page, {"reason": "Wait until <b> noon."})


@pytest.mark.django_db
def test_the_style_page_is_open_and_has_no_inline_code(client: Client) -> None:
    answer = client.get(reverse("training:style"))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)", page)


@pytest.mark.django_db
def test_the_page_says_its_language_and_the_way_to_the_other(client: Client) -> None:
    # WCAG 2.2, 3.1.1 Language of Page and 3.1.2 Language of Parts.
    page = client.get(reverse("training:style"), headers={"accept-language": "es"}).content.decode()
    assert '<html lang="es">' in page
    assert re.search(r'value="en" lang="en"[^>]*>English<', page)


@pytest.mark.django_db
def test_the_language_switch_comes_back_to_the_same_page(client: Client) -> None:
    here = reverse("training:style") + "?crew=2"
    answer = client.post(reverse("set_language"), {"language": "es", "next": here})
    assert answer.headers["Location"] == here


@pytest.mark.django_db
def test_a_field_in_error_is_named_first_and_points_to_its_input(client: Client) -> None:
    # WCAG 2.2, 3.3.1 Error Identification.
    page = client.get(reverse("training:style")).content.decode()
    assert page.index('class="form-errors"') < page.index('id="id_name"')
    assert '<a href="#id_done_on">' in page
    assert re.search(r'<input[^>]*id="id_done_on"[^>]*>', page)
    assert 'aria-invalid="true"' in page
    assert 'id="id_done_on_error"' in page


def test_the_sample_form_has_two_mistakes() -> None:
    assert set(sample().errors) == {"done_on", "seen"}


def test_each_role_is_offered_its_own_pages() -> None:
    assert {"Board", "People", "Register"} <= offered(is_officer=True, person=None)
    assert "My path" in offered(is_officer=False, person=object())
    assert not {"Board", "People", "Register"} & offered(is_officer=False, is_evaluator=True, person=object())
    assert not {"Board", "My path"} & offered()


def test_the_page_you_are_on_is_marked() -> None:
    url = reverse("training:people")
    menu = navigation(SimpleNamespace(is_officer=True), url + "7/")
    assert [item.url for item in menu.first if item.current] == [url]
