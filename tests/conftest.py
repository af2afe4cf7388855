"""What every test stands on: no network, no slow hashing, its own upload folder, and which tests run where."""

from __future__ import annotations

import os
import shutil
import socket
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings

HERE = Path(__file__).parent
IN_CI = os.environ.get("CI", "").lower() in {"1", "true", "yes"}

# A slow moment of a busy machine is no fault of the code. In CI the same examples come every time.
hypothesis_settings.register_profile(
    "headlap", deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=IN_CI
)
hypothesis_settings.load_profile("headlap")


class NetworkIsOff(OSError):
    """A test tried to leave this machine."""


def pytest_configure(config: pytest.Config) -> None:
    _keep_inside_this_machine()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """HEADLAP_TESTS names the folders to run, for the second run on another database; everything else is left out."""
    wanted = os.environ.get("HEADLAP_TESTS", "").split()
    if not wanted:
        return
    kept = [item for item in items if item.path.relative_to(HERE).parts[0] in wanted]
    config.hook.pytest_deselected(items=[item for item in items if item not in set(kept)])
    items[:] = kept


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker in item.iter_markers("needs"):
        missing = [program for program in marker.args if not shutil.which(program)]
        if missing and IN_CI:
            pytest.fail(f"CI must run this test and lacks {', '.join(missing)}", pytrace=False)
        if missing:
            pytest.skip(f"needs {', '.join(missing)}")


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Repeats at the end what tests have measured under the name `cost`."""
    reports = [report for kind in terminalreporter.stats.values() for report in kind]
    told = [value for one in reports for name, value in getattr(one, "user_properties", []) if name == "cost"]
    if told:
        terminalreporter.section("what pages cost")
        terminalreporter.write_line("\n".join(dict.fromkeys(told)))


@pytest.fixture(scope="session", autouse=True)
def _uploads_folder() -> Iterator[None]:
    from django.conf import settings

    yield
    shutil.rmtree(settings.MEDIA_ROOT, ignore_errors=True)


@pytest.fixture(autouse=True)
def _no_books_of_other_tests() -> None:
    """Parsed rule books are kept by primary key, and a rolled-back test gives its keys to the next one."""
    facts = sys.modules.get("training.facts")
    if facts is not None:
        facts._parsed_book.cache_clear()
        facts._parsed_qualification.cache_clear()


@pytest.fixture(scope="session", autouse=True)
def _register_may_be_emptied() -> Iterator[None]:
    """Tests with real transactions end by emptying every table; the register's guards stand aside for that."""
    from django.db import connection
    from django.test import TransactionTestCase

    from training.models import triggers

    empty_all = TransactionTestCase._fixture_teardown

    def emptied(case: TransactionTestCase) -> None:
        triggers.remove(connection)
        try:
            empty_all(case)
        finally:
            triggers.install(connection)

    TransactionTestCase._fixture_teardown = emptied
    yield
    TransactionTestCase._fixture_teardown = empty_all


@pytest.fixture
def growing_waits(settings: Any) -> None:
    """Turns the throttle of failed sign-ins on; other tests may fail to sign in as often as they like."""
    settings.AXES_ENABLED = True


def _keep_inside_this_machine() -> None:
    """Refuses every connection and every name that does not lead back to this machine."""
    connect, look_up = socket.socket.connect, socket.getaddrinfo

    def guarded_connect(self: socket.socket, address: Any) -> None:
        if self.family in (socket.AF_INET, socket.AF_INET6) and not _is_here(address[0]):
            raise NetworkIsOff(f"Tests may not connect to {address[0]}")
        connect(self, address)

    def guarded_look_up(host: Any, *args: Any, **options: Any) -> Any:
        if host is not None and not _is_here(host.decode() if isinstance(host, bytes) else str(host)):
            raise NetworkIsOff(f"Tests may not look up {host}")
        return look_up(host, *args, **options)

    socket.socket.connect = guarded_connect  # type: ignore[method-assign]
    socket.getaddrinfo = guarded_look_up


def _is_here(host: str) -> bool:
    return host in {"localhost", "", "::1", "0.0.0.0"} or host.startswith("127.")
