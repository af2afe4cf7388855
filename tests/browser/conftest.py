"""A real Chromium, the running demo, and visitors who are watched: nothing leaves this machine, nothing is refused."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connections
from playwright.sync_api import Browser, sync_playwright

from tests.browser import cast
from tests.browser.server import Desk, Site, running
from tests.browser.tour import Tour
from tests.browser.visitors import Visitors
from training.config.settings import database

CHROMIUM = os.environ.get("HEADLAP_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
OPTIONS = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--force-color-profile=srgb"]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "tests/browser/" in item.nodeid:
            item.add_marker(pytest.mark.browser)
            if not CHROMIUM:
                item.add_marker(pytest.mark.needs("chromium"))


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """Chromium, for the browser tests only: while its driver runs, this thread may not touch the database."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=OPTIONS)
        yield chromium
        chromium.close()


@contextmanager
def _stored_in(file: Path) -> Iterator[Desk]:
    """Threads from here on keep their data in this file; the desk is one of them."""
    ours = connections.configure_settings({"default": database(f"sqlite:///{file}")})
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(connections.settings, "default", ours["default"])
        desk = Desk()
        try:
            yield desk
        finally:
            desk.close()


@pytest.fixture(scope="session")
def demo(django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database file with the demo, loaded once through the actions."""
    file = tmp_path_factory.mktemp("demo") / "demo.sqlite3"
    with django_db_blocker.unblock(), _stored_in(file) as desk:
        desk.do(call_command, "migrate", verbosity=0)
        desk.do(call_command, "load_demo")
    return file


@pytest.fixture(scope="module")
def site(demo: Path, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """The running application; each file of tests starts from the demo as it was loaded."""
    file = tmp_path_factory.mktemp("site") / demo.name
    shutil.copy(demo, file)
    with (
        django_db_blocker.unblock(),
        _stored_in(file) as desk,
        running(desk) as site,
        pytest.MonkeyPatch.context() as patch,
    ):
        patch.setattr(settings, "SITE_URL", site.address)
        yield site


@pytest.fixture
def visitors(site: Site, browser: Browser) -> Iterator[Visitors]:
    """Opens windows for people of the demo; at the end, looks at what all of them asked for and complained about."""
    found = Visitors(site, browser)
    yield found
    found.leave()


@pytest.fixture(scope="module")
def tour(site: Site, browser: Browser) -> Iterator[Tour]:
    """Every role's windows, and the rows that its pages need."""
    visitors = Visitors(site, browser)
    yield Tour(visitors, site.desk.do(cast.set_up, site.clock))
    visitors.leave()


@pytest.fixture
def do(site: Site) -> Callable[..., Any]:
    """Runs a function of the application outside the browser."""
    return site.desk.do
