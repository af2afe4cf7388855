"""Folders that the start path uses. All of them are git-ignored dot folders of the checkout."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
VENV = ROOT / ".venv"
STATE = ROOT / ".headlap"
REQUIREMENTS = ROOT / ".requirements.txt"
VENV_PYTHON = VENV / "bin" / "python"


def in_venv() -> bool:
    """Whether this very process runs in the checkout's own environment."""
    return Path(sys.prefix).resolve() == VENV.resolve()


def say(text: str = "") -> None:
    """Prints a line at once, also when the output goes to a file."""
    print(text, flush=True)


class CannotStart(SystemExit):
    """Stops the start path with a sentence that says what to do, and exit code 1."""
