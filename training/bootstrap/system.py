"""System libraries and tools: finds what is missing, and installs it with apt or prints the command."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from training.bootstrap.places import CannotStart, say

_APT_ENVIRONMENT = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}


@dataclass(frozen=True)
class Need:
    """Something from the system: Debian's packages for it, what it is for, and how to see whether it is there."""

    packages: tuple[str, ...]
    purpose: str
    present: Callable[[], bool]


def has_library(*names: str) -> bool:
    """Whether every shared library can be loaded, by its Linux or its macOS file name."""
    return all(_loads(f"lib{name}.so.0") or _loads(f"lib{name}.0.dylib") for name in names)


def has_program(*names: str) -> bool:
    """Whether any of the programs is on the path and really starts (a snap placeholder does not)."""
    return any(_starts(name) for name in names)


def chromium() -> str | None:
    """The path of a Chromium that starts, or None. The browser tests use the same one."""
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
    found = next((shutil.which(name) for name in names if _starts(name)), None)
    return found or next((str(path) for path in _fetched_browsers() if _starts(str(path))), None)


def fetch_chromium(python: Path) -> bool:
    """As root, lets Playwright bring its own Chromium, for systems whose package is only a placeholder."""
    if os.geteuid() != 0:
        return False
    say("Fetching a Chromium for the tests in a browser (once) ...")
    command = [str(python), "-m", "playwright", "install", "--with-deps", "chromium"]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0 and chromium() is not None


def postgres_programs() -> Path | None:
    """The folder that holds initdb and postgres, the newest where there are several; None without PostgreSQL."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    on_path = shutil.which("initdb")
    candidates = [*(path.parent for path in reversed(found)), *([Path(on_path).resolve().parent] if on_path else [])]
    return next((folder for folder in candidates if (folder / "postgres").exists()), None)


PANGO = Need(
    ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"),
    "to make PDFs",
    lambda: has_library("pango-1.0", "pangoft2-1.0", "harfbuzz", "harfbuzz-subset"),
)
CHROMIUM = Need(("chromium",), "for the tests in a browser", lambda: chromium() is not None)
GETTEXT = Need(("gettext",), "to check the Spanish texts", lambda: has_program("xgettext") and has_program("msgfmt"))
POPPLER = Need(("poppler-utils",), "to look at every PDF page", lambda: has_program("pdftoppm"))
POSTGRES = Need(("postgresql",), "to test on PostgreSQL too", lambda: postgres_programs() is not None)
FOR_DEMO = (PANGO,)
FOR_TESTS = (PANGO, CHROMIUM, GETTEXT, POPPLER, POSTGRES)


def provide(needs: tuple[Need, ...]) -> list[Need]:
    """Installs what is missing where it may, and returns what is missing still."""
    missing = [need for need in needs if not need.present()]
    for need in missing:
        install(set(need.packages), need.purpose)
    return [need for need in missing if not need.present()]


def install(packages: set[str], purpose: str, *, needed: bool = False) -> bool:
    """Installs Debian packages as root, else prints the command. Raises CannotStart when `needed` and not to be had."""
    names = " ".join(sorted(packages))
    apt = shutil.which("apt-get")
    if apt and os.geteuid() == 0:
        say(f"Installing {names} {purpose} (once) ...")
        if _apt(apt, "install", "--no-install-recommends", *sorted(packages)):
            return True
    words = f"Missing {purpose}: {names}\n    {command_for(packages)}"
    if needed:
        raise CannotStart(f"{words}\nThen start again.")
    say(words)
    return False


def command_for(packages: set[str]) -> str:
    """The command that a person can type to install them."""
    names = " ".join(sorted(packages))
    if shutil.which("brew") and not shutil.which("apt-get"):
        return "brew install pango postgresql gettext poppler chromium"
    return f"sudo apt-get update && sudo apt-get install -y --no-install-recommends {names}"


def _apt(apt: str, *arguments: str) -> bool:
    """Runs apt-get with the package lists renewed once per start. Prints apt's own words when it fails."""
    _renew_lists(apt)
    command = [apt, arguments[0], "-y", "-qq", *arguments[1:]]
    done = subprocess.run(command, env=_APT_ENVIRONMENT, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        say(done.stderr.strip())
    return done.returncode == 0


@cache
def _renew_lists(apt: str) -> None:
    subprocess.run([apt, "update", "-qq"], env=_APT_ENVIRONMENT, capture_output=True, check=False)


def _fetched_browsers() -> list[Path]:
    folder = Path(os.environ.get("PLAYWRIGHT_BROWSERS_PATH") or Path.home() / ".cache" / "ms-playwright")
    return sorted(folder.glob("chromium-*/*/chrome"), reverse=True)


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _starts(name: str) -> bool:
    path = shutil.which(name)
    if not path:
        return False
    version = "-v" if name == "pdftoppm" else "--version"
    try:
        return subprocess.run([path, version], capture_output=True, timeout=60, check=False).returncode == 0
    except (OSError, subprocess.TimeoutExpired):
        return False
