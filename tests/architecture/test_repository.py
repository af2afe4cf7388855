"""Nothing in the repository depends on one machine, and the tables match the models."""

from __future__ import annotations

import re
from importlib import metadata
from pathlib import Path

import pytest
from django.core.management import call_command
from packaging.specifiers import SpecifierSet

from tests.architecture.sources import ROOT, is_vendored, project_files

# Names of formats (XML, JSON Schema) and those that RFC 2606 keeps free for examples; no other host is named.
ALLOWED_HOSTS = re.compile(
    r"^(www\.w3\.org|json-schema\.org|(.+\.)?example(\.(com|org|net))?|.+\.(example|invalid|test)"
    r"|localhost|127\.0\.0\.1|\[::1\]|testserver)$"
)
ADDRESS = re.compile(r"\b(?:https?|ftp|file|git)://([\w\[][^\s/\"'<>)`:{},]*)")
MACHINE_PATH = re.compile(r"(?<![\w.])/(?:root|home|Users|work|opt|mnt)/\w")
IS_TEXT = {".py", ".html", ".css", ".js", ".json", ".md", ".toml", ".txt", ".po", ".svg", ".yml", ".cfg", ""}


def _texts() -> list[tuple[Path, str]]:
    own = [name for name in project_files() if name.suffix in IS_TEXT and not is_vendored(name)]
    return [(name, (ROOT / name).read_text(errors="replace")) for name in own if name != Path(".gitignore")]


def test_no_file_names_another_machine() -> None:
    found = {
        f"{name}: {host}"
        for name, text in _texts()
        for host in ADDRESS.findall(text)
        if not ALLOWED_HOSTS.match(host.lower().rstrip(".,;"))
    }
    assert sorted(found) == []


def test_no_file_names_a_folder_of_one_machine() -> None:
    found = {f"{name}: {match}" for name, text in _texts() for match in MACHINE_PATH.findall(text)}
    assert sorted(found) == []


def test_the_lock_file_names_no_index_and_every_package_has_hashes() -> None:
    lines = (ROOT / ".requirements.txt").read_text().splitlines()
    assert [line for line in lines if line.startswith("-") or "//" in line] == []
    packages = [number for number, line in enumerate(lines) if re.match(r"[a-z0-9]", line)]
    assert packages
    assert all("==" in lines[n] and "--hash=sha256:" in lines[n + 1] for n in packages)


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_every_locked_package_runs_on_the_oldest_python() -> None:
    """Debian 12 ships Python 3.11.2; a package that asks for a later patch release would stop the start there."""
    names = [line.split("==")[0] for line in (ROOT / ".requirements.txt").read_text().splitlines() if "==" in line]
    asked = {name: metadata.metadata(name).get("Requires-Python") or "" for name in names}
    assert {name: wants for name, wants in asked.items() if not SpecifierSet(wants).contains("3.11.2")} == {}


def test_the_installed_packages_are_the_locked_ones() -> None:
    lines = [line.split()[0] for line in (ROOT / ".requirements.txt").read_text().splitlines() if "==" in line]
    locked = dict(line.split("==") for line in lines)
    assert {name: metadata.version(name) for name in locked} == locked
