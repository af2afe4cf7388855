"""The officer's pages, each in both languages, in daylight and in the dark, on a small phone."""

from __future__ import annotations

from tests.browser.tour import Tour, check_page, seen_by


@seen_by("officer")
def test_every_page_of_the_officer_can_be_used_by_everybody(tour: Tour, role: str, name: str) -> None:
    check_page(tour, role, name)
