"""The start path: what it installs, what it prints when it may not, and that its servers clean up."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from http.client import HTTPConnection
from pathlib import Path

import pytest

from tests.architecture.sources import ROOT, project_files
from tests.architecture.test_settings import REAL
from training.bootstrap import environment, places, postgres, system, tests

own_environment = pytest.mark.skipif(
    not Path(sys.prefix, "headlap-installed").exists(), reason="needs the start path's own .venv"
)
NOTHING = system.Need(("no-such-package", "nor-this"), "to try it", lambda: False)


def test_a_taken_port_gives_way_to_the_next_free_one() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert port < postgres.free_port(port) < port + 100


def test_without_root_the_command_is_printed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert system.provide((NOTHING,)) == [NOTHING]
    printed = capsys.readouterr().out
    assert "Missing to try it: no-such-package nor-this" in printed
    assert "install" in printed


def test_what_is_there_is_not_installed_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "install", lambda *_: pytest.fail("nothing to install"))
    assert system.provide((system.Need(("x",), "to try it", lambda: True),)) == []


def test_ci_fails_when_a_test_cannot_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CI", "true")
    with pytest.raises(places.CannotStart, match="NOT RUN: tests/database and tests/web on PostgreSQL"):
        tests._tell([system.POSTGRES])


def test_elsewhere_what_cannot_run_is_told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture) -> None:
    monkeypatch.delenv("CI", raising=False)
    tests._tell([system.CHROMIUM, system.POPPLER])
    printed = capsys.readouterr().out
    assert "NOT RUN: tests/browser" in printed
    assert "chromium" in printed and "poppler-utils" in printed


def test_the_packages_are_installed_again_when_the_lock_file_changes(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    lock = tmp_path / "lock"
    lock.write_text("one==1\n")
    monkeypatch.setattr(environment, "REQUIREMENTS", lock)
    monkeypatch.setattr(environment, "STAMP", tmp_path / "stamp")
    assert not environment.is_installed()
    (tmp_path / "stamp").write_text(environment._fingerprint())
    assert environment.is_installed()
    lock.write_text("one==2\n")
    assert not environment.is_installed()


def test_a_users_pip_settings_cannot_send_packages_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PIP_USER", "1")
    monkeypatch.setenv("PIP_TARGET", "/srv/elsewhere")
    monkeypatch.setenv("PIP_TIMEOUT", "60")
    kept = environment._pip_environment()
    assert "PIP_TIMEOUT" in kept
    assert not {"PIP_USER", "PIP_TARGET"} & set(kept)


@pytest.mark.system
def test_the_throwaway_postgresql_answers_and_is_gone_afterwards() -> None:
    programs = system.postgres_programs()
    if programs is None:
        pytest.skip("needs PostgreSQL")
    with postgres.throwaway(programs) as address:
        port = int(address.rpartition(":")[2].partition("/")[0])
        socket.create_connection(("127.0.0.1", port), timeout=5).close()
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.1", port), timeout=5)


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A clean copy of the project that shares the installed packages."""
    for name in project_files():
        if name.parts[0] != "tests":
            (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, tmp_path / name)
    (tmp_path / ".venv").symlink_to(Path(sys.prefix))
    return tmp_path


def _clean_environment() -> dict[str, str]:
    return {key: value for key, value in os.environ.items() if not key.startswith(("HEADLAP", "DJANGO", "DATABASE"))}


def _start(checkout: Path, port: int) -> tuple[subprocess.Popen[str], str, float]:
    """The running demo, what it printed until it was ready, and the seconds that took."""
    began = time.monotonic()
    command = [sys.executable, "manage.py", "demo", "--port", str(port)]
    running = subprocess.Popen(
        command, cwd=checkout, env=_clean_environment(), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    printed = ""
    assert running.stdout is not None
    for line in running.stdout:
        printed += line
        if "Ctrl+C" in line:
            return running, printed, time.monotonic() - began
    pytest.fail(f"The demo ended by itself:\n{printed}")


def _stop(running: subprocess.Popen[str]) -> None:
    running.terminate()
    running.communicate(timeout=20)


def _status(port: int, path: str) -> int:
    connection = HTTPConnection("localhost", port, timeout=20)
    connection.request("GET", path)
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer.status


@own_environment
def test_the_demo_starts_from_nothing_and_a_second_start_is_quick_and_keeps_the_data(checkout: Path) -> None:
    port = postgres.free_port()
    running, printed, _seconds = _start(checkout, port)
    try:
        assert "Loading the demo" in printed and f"http://localhost:{port}" in printed
        assert _status(port, "/sign-in/") == 200
        assert _status(port, "/static/training/headlap.css") == 200
    finally:
        _stop(running)
    before = (checkout / ".headlap" / "headlap.sqlite3").stat().st_size
    running, again, seconds = _start(checkout, port)
    _stop(running)
    assert "Loading the demo" not in again
    assert "Sign in as" in again
    assert (checkout / ".headlap" / "headlap.sqlite3").stat().st_size >= before
    assert seconds < 30  # one or two on a quiet machine


@own_environment
def test_one_command_makes_a_real_installation_and_may_be_run_again(checkout: Path, tmp_path: Path) -> None:
    settings = {**REAL, "DATABASE_URL": f"sqlite:///{tmp_path}/real.sqlite3", "HEADLAP_STATIC": f"{tmp_path}/served"}
    answers = ["--company", "Sandrell Roofing", "--officer", "Ida Brenk", "--sign-in", "ida@example.com"]
    first, second = (
        subprocess.run(
            [sys.executable, "manage.py", "install", *words],
            cwd=checkout,
            env={**_clean_environment(), **settings},
            capture_output=True,
            text=True,
            check=False,
        )
        for words in (answers, [])
    )
    assert first.returncode == second.returncode == 0, first.stdout + first.stderr + second.stderr
    assert "One-time password: " in first.stdout and "gunicorn" in first.stdout
    assert "One-time password: " not in second.stdout
    assert (tmp_path / "served" / "staticfiles.json").exists()
