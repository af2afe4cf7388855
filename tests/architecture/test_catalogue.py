"""English and Spanish are both complete, and no number or blank differs between them."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polib
import pytest

from tests.architecture.sources import PACKAGES, ROOT, project_files

PLACEHOLDER = re.compile(r"%\(\w+\)[a-z]|%[sd]|\{\w*\}")
NUMBER = re.compile(r"\d+(?:[.,/]\d+)*")
CATALOGUES = [ROOT / package / "locale" / "es" / "LC_MESSAGES" / "django.po" for package in PACKAGES]
Key = tuple[str | None, str]


def _pairs(entry: polib.POEntry) -> Iterator[tuple[str, str]]:
    """English and Spanish of an entry; for plurals, the many form with each Spanish form."""
    if entry.msgid_plural:
        for index, text in entry.msgstr_plural.items():
            yield (entry.msgid if index == 0 else entry.msgid_plural), text
    else:
        yield entry.msgid, entry.msgstr


def _differs(english: str, spanish: str) -> bool:
    """Whether blanks or numbers differ. The order may differ; `%%` is a percent sign, not a blank."""
    english, spanish = english.replace("%%", "٪"), spanish.replace("%%", "٪")
    if set(PLACEHOLDER.findall(english)) != set(PLACEHOLDER.findall(spanish)):
        return True
    plain = [sorted(NUMBER.findall(PLACEHOLDER.sub(" ", text))) for text in (english, spanish)]
    return plain[0] != plain[1]


def _entries(path: Path) -> dict[Key, polib.POEntry]:
    return {(entry.msgctxt, entry.msgid): entry for entry in polib.pofile(str(path)) if not entry.obsolete}


@pytest.mark.parametrize("path", CATALOGUES, ids=PACKAGES)
def test_every_text_has_a_sure_translation(path: Path) -> None:
    entries = _entries(path).values()
    assert [entry.msgid for entry in entries if entry.fuzzy or not entry.translated()] == []


@pytest.mark.parametrize("path", CATALOGUES, ids=PACKAGES)
def test_both_languages_have_the_same_numbers_and_blanks(path: Path) -> None:
    pairs = [pair for entry in _entries(path).values() for pair in _pairs(entry)]
    assert [pair for pair in pairs if pair[1] and _differs(*pair)] == []


@pytest.mark.parametrize("path", CATALOGUES, ids=PACKAGES)
def test_a_status_is_never_called_pendiente(path: Path) -> None:
    """On a roof the word means slope: `la pendiente del techo`."""
    lone = [e.msgstr for e in _entries(path).values() if re.fullmatch(r"pendientes?\.?", e.msgstr.strip(), re.I)]
    assert lone == []


@pytest.mark.parametrize("path", CATALOGUES, ids=PACKAGES)
def test_the_compiled_catalogue_is_the_written_one(path: Path) -> None:
    written = {key: list(_pairs(entry)) for key, entry in _entries(path).items() if entry.translated()}
    compiled = polib.mofile(str(path.with_suffix(".mo")))
    assert {(entry.msgctxt, entry.msgid): list(_pairs(entry)) for entry in compiled} == written


@pytest.mark.system
@pytest.mark.needs("xgettext", "msgmerge", "msguniq")
def test_the_catalogues_hold_exactly_the_texts_of_the_sources(tmp_path: Path) -> None:
    for name in project_files():
        if name.parts[0] in {*PACKAGES, "templates", "manage.py"} and name.suffix in {".py", ".html", ".po", ".txt"}:
            (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, tmp_path / name)
    for package in PACKAGES:
        (tmp_path / package / "locale").mkdir(parents=True, exist_ok=True)
    environment = {**os.environ, "HEADLAP_MODE": "demo"}
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    command = [sys.executable, "manage.py", "makemessages", "-l", "es", "--no-obsolete", "--no-location"]
    made = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert made.returncode == 0, made.stderr
    for path in CATALOGUES:
        fresh = set(_entries(tmp_path / path.relative_to(ROOT)))
        kept = set(_entries(path))
        assert {"missing": fresh - kept, "left over": kept - fresh} == {"missing": set(), "left over": set()}


def _texts(node: Any, where: str) -> Iterator[tuple[str, str, str]]:
    """Every {"en": ..., "es": ...} inside content data, with the place where it stands."""
    if isinstance(node, dict):
        if {"en", "es"} & set(node) and all(isinstance(text, str) for text in node.values()):
            yield where, node.get("en", ""), node.get("es", "")
        for key, value in node.items():
            yield from _texts(value, f"{where}.{key}")
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from _texts(value, f"{where}[{index}]")


def test_content_has_both_languages_with_the_same_numbers_and_blanks() -> None:
    content = [name for name in project_files() if name.suffix == ".json" and "content" in name.parts]
    texts = [found for name in content for found in _texts(json.loads((ROOT / name).read_text()), str(name))]
    assert texts
    assert [text for text in texts if not (text[1].strip() and text[2].strip()) or _differs(text[1], text[2])] == []
