"""The real application on a port of this machine, with the demo in it, for the browser to talk to."""

from __future__ import annotations

import datetime
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any, ParamSpec, TypeVar
from unittest import mock

from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.db import connections
from django.utils import timezone

P = ParamSpec("P")
T = TypeVar("T")


class Quiet(WSGIRequestHandler):
    """Answers without telling the terminal about each one."""

    def log_message(self, format: str, *args: Any) -> None:
        pass


class Clock:
    """What the server takes for now. It can only be put forward, as in life."""

    def __init__(self) -> None:
        self.ahead = datetime.timedelta()
        self._now = timezone.now

    def now(self) -> datetime.datetime:
        return self._now() + self.ahead

    def forward(self, **by: float) -> None:
        """So much later, for example `minutes=2`."""
        self.ahead += datetime.timedelta(**by)


class Desk:
    """A thread of its own for database work: the browser's driver keeps an event loop running in the tests' thread."""

    def __init__(self) -> None:
        self._thread = ThreadPoolExecutor(1)

    def do(self, work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """What `work` returns, done over there."""
        return self._thread.submit(work, *args, **kwargs).result()

    def close(self) -> None:
        self.do(connections.close_all)
        self._thread.shutdown()


class Site:
    """The running application: where it is, what time it is there, and a desk in the back office."""

    def __init__(self, address: str, clock: Clock, desk: Desk) -> None:
        self.address, self.clock, self.desk = address, clock, desk

    def url(self, path: str) -> str:
        return f"{self.address}{path}"


@contextmanager
def running(desk: Desk) -> Iterator[Site]:
    """The application answers for as long as this is open."""
    from training.config.wsgi import application

    clock = Clock()
    server = ThreadedWSGIServer(("127.0.0.1", 0), Quiet)
    server.daemon_threads = False
    server.set_app(application)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        with mock.patch("django.utils.timezone.now", clock.now):
            yield Site(f"http://localhost:{server.server_port}", clock, desk)
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
