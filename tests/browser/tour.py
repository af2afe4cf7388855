"""Every page for every role, on a small phone: what is asked of it, and one window kept open for each reader."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser import pages
from tests.browser.cast import Stage
from tests.browser.visitors import Visitors

AXE = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
NARROW = {"width": 320, "height": 640}
PHONE = {"width": 360, "height": 740}
LANGUAGES = ("en", "es")


def seen_by(*roles: str) -> pytest.MarkDecorator:
    """The pages of these roles, one test each."""
    found = [(role, name) for role in roles for name in pages.VISITS[role][1]]
    return pytest.mark.parametrize(("role", "name"), found, ids=[f"{role}: {name}" for role, name in found])


class Tour:
    """One window for each role and language, kept open from page to page."""

    def __init__(self, visitors: Visitors, stage: Stage) -> None:
        self.visitors, self.stage = visitors, stage
        self._windows: dict[tuple[str, str], Page] = {}

    def at(self, role: str, name: str, language: str) -> Page:
        """A page of the table as this role sees it, in daylight on a phone."""
        window = self._windows.get((role, language)) or self._enter(role, language)
        window.set_viewport_size(PHONE)
        window.emulate_media(color_scheme="light")
        answer = window.goto(self.visitors.site.desk.do(pages.VISITS[role][1][name], self.stage))
        assert answer is not None and answer.status < 500
        self.visitors.check()
        return window

    def _enter(self, role: str, language: str) -> Page:
        user = self.visitors.site.desk.do(pages.user_of, role)
        window = self.visitors.window(user, phone=True, language=language)
        self._windows[role, language] = window
        return window


def violations(page: Page, rules: list[str]) -> list[str]:
    """What axe-core finds: the rule and the first places."""
    found = page.evaluate("rules => axe.run({runOnly: rules, resultTypes: ['violations']})", rules)
    return [
        f"{one['id']}: {one['help']} at {[node['target'] for node in one['nodes'][:3]]}" for one in found["violations"]
    ]


def too_wide(page: Page) -> list[str]:
    """What sticks out at the right, when the page can be moved sideways."""
    return page.evaluate(
        """() => {
            const wide = document.documentElement.clientWidth;
            if (document.documentElement.scrollWidth <= wide) return [];
            return [...document.body.querySelectorAll("*")].filter(e => e.getBoundingClientRect().right > wide + 1)
                .slice(0, 4).map(e => e.outerHTML.slice(0, 120));
        }"""
    )


def cut_off(page: Page) -> list[str]:
    """Boxes that hide a part of their own text."""
    return page.evaluate(
        """() => [...document.querySelectorAll("main *")].filter(e => {
            const style = getComputedStyle(e);
            const hides = ["hidden", "clip"].includes(style.overflowY) || ["hidden", "clip"].includes(style.overflowX);
            return hides && e.clientWidth > 2 && !e.closest("svg, progress")
                && (e.scrollHeight > e.clientHeight + 2 || e.scrollWidth > e.clientWidth + 2);
        }).map(e => e.outerHTML.slice(0, 120))"""
    )


# WCAG 2.2 AA as far as a program can tell (axe-core), and 1.4.10 Reflow: no sideways scrolling at 320 CSS px.
def check_page(tour: Tour, role: str, name: str) -> None:
    """In both languages, in daylight and in the dark."""
    for language in LANGUAGES:
        page = tour.at(role, name, language)
        page.evaluate(AXE)
        assert violations(page, WCAG) == []
        page.set_viewport_size(NARROW)
        assert too_wide(page) == []
    page.emulate_media(color_scheme="dark")
    assert violations(page, ["cat.color"]) == []
