"""`manage.py test`: every test through pytest, and the database and web tests on PostgreSQL as well."""

from __future__ import annotations

import os
import subprocess

from training.bootstrap import postgres, system
from training.bootstrap.places import ROOT, VENV_PYTHON, CannotStart, say

NO_TESTS = 5  # pytest's exit code when the arguments select nothing
WITHOUT = {
    system.PANGO: "the tests that make a PDF",
    system.CHROMIUM: "tests/browser",
    system.GETTEXT: "the tests of the Spanish catalogue's freshness",
    system.POPPLER: "the tests that draw PDF pages",
    system.POSTGRES: "tests/database and tests/web on PostgreSQL",
}


def run(arguments: list[str]) -> int:
    """Runs the tests with pytest's `arguments`; returns pytest's exit code. The last line printed is pytest's."""
    missing = system.provide(system.FOR_TESTS)
    if system.CHROMIUM in missing and system.fetch_chromium(VENV_PYTHON):
        missing.remove(system.CHROMIUM)
    if missing:
        _tell(missing)
    programs = system.postgres_programs()
    if programs:
        with postgres.throwaway(programs) as address:
            say("Tests of the database and the pages, on PostgreSQL:")
            code = _pytest(arguments, {"DATABASE_URL": address, "HEADLAP_TESTS": "database web"})
        if code not in (0, NO_TESTS):
            return code
    say("All tests, on SQLite:")
    return _pytest(arguments, {})


def _tell(missing: list[system.Need]) -> None:
    """Says what will not be tested and how to get it. In CI that is a failure: CI must test everything."""
    packages = {package for need in missing for package in need.packages}
    not_run = "\n".join(f"  NOT RUN: {WITHOUT[need]}" for need in missing)
    words = f"{not_run}\n  To run them too: {system.command_for(packages)}"
    if os.environ.get("CI", "").lower() in {"1", "true", "yes"}:
        raise CannotStart(f"CI must run every test.\n{words}")
    say(words)


def _pytest(arguments: list[str], extra: dict[str, str]) -> int:
    inherited = {key: value for key, value in os.environ.items() if not key.startswith(("HEADLAP_", "DATABASE_URL"))}
    browser = system.chromium()
    if browser:
        inherited["HEADLAP_CHROMIUM"] = browser
    environment = {**inherited, "PYTHONPATH": str(ROOT), **extra}
    return subprocess.run(
        [str(VENV_PYTHON), "-m", "pytest", *_workers(arguments), *arguments], cwd=ROOT, env=environment, check=False
    ).returncode


def _workers(arguments: list[str]) -> list[str]:
    """Several test processes where there are processors for them; a file's tests stay together, in their order."""
    chosen = any(word.startswith(("-n", "--numprocesses", "-s", "--pdb")) for word in arguments)
    count = min(os.cpu_count() or 1, 4)
    return [] if chosen or count < 2 else ["-n", str(count), "--dist", "loadfile"]
