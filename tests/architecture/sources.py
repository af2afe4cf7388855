"""The project's own files, as the architecture tests look at them."""

from __future__ import annotations

import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
PACKAGES = ("training", "certificates")


@cache
def project_files() -> tuple[Path, ...]:
    """Every file in the repository or about to go into it, relative to its top; outside git, all but made folders."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode == 0 and listed.stdout:
        names = {Path(name) for name in listed.stdout.split("\0") if name}
    else:
        names = {path.relative_to(ROOT) for path in ROOT.rglob("*") if "__pycache__" not in path.parts}
        names = {name for name in names if name.parts[0] not in {".venv", ".headlap", ".git"}}
    return tuple(sorted(name for name in names if (ROOT / name).is_file()))


def modules(*folders: str) -> list[Path]:
    """Python files below the folders, without migrations, relative to the top."""
    return [
        name
        for name in project_files()
        if name.suffix == ".py" and name.parts[0] in folders and "migrations" not in name.parts
    ]


def is_vendored(name: Path) -> bool:
    """Whether the file was made by others and lies here unchanged, with its licence."""
    return "vendor" in name.parts or "fonts" in name.parts
