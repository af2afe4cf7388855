"""The pages of evaluators, of people on a crew and of strangers; text at twice its size; no page left out."""

from __future__ import annotations

import re

import pytest

from tests.browser import pages
from tests.browser.tour import Tour, check_page, cut_off, seen_by, too_wide
from tests.web.routes import ROUTES


@seen_by(*(role for role in pages.VISITS if role != "officer"))
def test_every_page_can_be_used_by_everybody(tour: Tour, role: str, name: str) -> None:
    check_page(tour, role, name)


# WCAG 2.2, 1.4.4 Resize Text: twice the size, and nothing is cut off or covered.
@pytest.mark.parametrize(("role", "name"), pages.BIG_TEXT)
def test_text_can_be_twice_as_big(tour: Tour, role: str, name: str) -> None:
    page = tour.at(role, name, "es")
    if role == "officer":
        page.set_viewport_size({"width": 1280, "height": 900})
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert too_wide(page) == []
    assert cut_off(page) == []


def test_no_page_is_left_out() -> None:
    """Each address that answers GET with a page is in the table above; `routes` itself is tested to be complete."""
    seen = {re.match(r"\w+", name)[0] for _who, found in pages.VISITS.values() for name in found}  # type: ignore[index]
    wanted = {route.name.partition(":")[2] for route in ROUTES if route.get == 200} - pages.NOT_PAGES
    assert wanted - seen == set()
