"""Windows of a real browser for people of the demo, and a watch on what goes on in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit
from weakref import WeakSet

from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request

from tests.browser.server import Site
from training.models import User

BACKEND = "django.contrib.auth.backends.ModelBackend"
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}
DESK = {"viewport": {"width": 1280, "height": 900}}
TOUCH: WeakSet[BrowserContext] = WeakSet()
"""Windows that are touched with a finger."""

QUIET = "Failed to load resource: the server responded with a status of 4"
"""The browser says this of every page with an answer such as 404 or 409; those pages are wanted."""


@dataclass
class Watch:
    """What the windows asked for outside the site, and every complaint: errors of scripts and refusals of the CSP."""

    home: str
    outside: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def on(self, context: BrowserContext) -> None:
        context.on("request", self._request)
        context.on("console", self._console)
        context.on("weberror", lambda error: self.complaints.append(str(error.error)))

    def _request(self, request: Request) -> None:
        address = urlsplit(request.url)
        if address.scheme in {"http", "https", "ws", "wss"} and address.netloc != self.home:
            self.outside.append(request.url)

    def _console(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"} and not message.text.startswith(QUIET):
            self.complaints.append(f"{message.text} at {message.location.get('url')}")


class Visitors:
    """Opens a window for somebody, signed in if they have a sign-in."""

    def __init__(self, site: Site, browser: Browser) -> None:
        self.site, self.browser = site, browser
        self.watch = Watch(urlsplit(site.address).netloc)
        self._contexts: list[BrowserContext] = []

    def window(
        self, user: User | None = None, *, phone: bool = False, language: str = "en", scripts: bool = True, **how: Any
    ) -> Page:
        """A fresh window: nothing in it is known from another one."""
        options = (PHONE if phone else DESK) | {"locale": language, "java_script_enabled": scripts} | how
        context = self.browser.new_context(base_url=self.site.address, **options)
        context.set_default_timeout(10_000)
        self._contexts.append(context)
        if phone:
            TOUCH.add(context)
        self.watch.on(context)
        cookies = {settings.LANGUAGE_COOKIE_NAME: language}
        if user is not None:
            cookies[settings.SESSION_COOKIE_NAME] = self.site.desk.do(session_of, user)
        context.add_cookies([{"name": n, "value": v, "url": self.site.address} for n, v in cookies.items()])
        return context.new_page()

    def check(self) -> None:
        """Nothing may have gone out, and nothing may have been refused or broken."""
        assert self.watch.outside == []
        assert self.watch.complaints == []

    def leave(self) -> None:
        """Closes every window."""
        for context in self._contexts:
            context.close()
        self.check()


def session_of(user: User) -> str:
    """The key of a fresh session of somebody."""
    client = Client()
    client.force_login(user, backend=BACKEND)
    return str(client.session.session_key)
