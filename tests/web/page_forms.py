"""The forms of a page as a browser sees them, filled in the way a person would, and spoilt one field at a time."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from bs4 import BeautifulSoup, Tag
from django.core.files.uploadedfile import SimpleUploadedFile

LONG = "x" * 10_000
NUL = "no\x00thing"
CONTROL = "\x01\x02\x1f\x7f\u202e\ufffe"
TODAY = datetime.date.today().isoformat()

BAD: dict[str, list[Any]] = {
    "text": [LONG, NUL, CONTROL, "<script>alert(1)</script>", "%(name)s {0} {{ x }}"],
    "date": ["2026-02-30", "0000-00-00", "99999-01-01", "1500-01-01", "4/3/2020", "x", NUL, LONG],
    "choice": ["no-such-choice", "-1", "9" * 30, NUL, LONG],
    "many": [["no-such-choice"], [NUL], ["a"] * 500],
    "number": ["x", "1.5", "-1", "9" * 30, NUL],
    "hidden": ["x", "9" * 30, NUL],
    "password": ["1", LONG, NUL],
    "check": [NUL, LONG],
}
REFUSED: dict[str, list[Any]] = {
    "date": BAD["date"],
    "choice": ["no-such-choice", NUL],
    "many": [["no-such-choice"], [NUL]],
    "number": ["x", NUL],
}
"""Values that no form may take for good."""


@dataclass
class Control:
    """One named control: its kind, what stands in it, and what could be chosen."""

    name: str
    kind: str
    value: Any
    choices: list[str] = field(default_factory=list)

    def sensible(self) -> Any:
        """What somebody would send."""
        if self.kind in {"choice", "many"}:
            chosen = self.value or next((choice for choice in self.choices if choice), "")
            return [chosen] if self.kind == "many" and isinstance(chosen, str) else chosen
        if self.value not in ("", None):
            return self.value
        return {"date": TODAY, "number": "1", "check": "on", "text": "Typed words", "file": None}.get(self.kind, "")


@dataclass
class PageForm:
    """One form of a page."""

    action: str
    method: str
    controls: dict[str, Control]
    button: tuple[str, str] | None

    def filled(self) -> dict[str, Any]:
        """Everything filled in sensibly; files left out."""
        data = {name: one.sensible() for name, one in self.controls.items() if one.kind != "file"}
        data = {name: value for name, value in data.items() if value not in (None, "")}
        return data | (dict([self.button]) if self.button else {})

    def spoilt(self) -> Iterator[tuple[str, Any, dict[str, Any]]]:
        """Each field in turn with each bad value of its kind; fields that repeat by number only once."""
        seen: set[tuple[str, str]] = set()
        for name, one in self.controls.items():
            shape = (one.kind, re.sub(r"[A-Z]?\d+", "#", name))
            if shape in seen or name == "csrfmiddlewaretoken":
                continue
            seen.add(shape)
            for value in BAD.get(one.kind, []):
                yield name, value, self.filled() | {name: value}

    def typed(self, data: dict[str, Any]) -> dict[str, str]:
        """What of the data a person typed with their own hands."""
        kinds = {"text", "date", "number"}
        return {name: str(data[name]) for name, one in self.controls.items() if one.kind in kinds and name in data}

    def files(self) -> list[str]:
        return [name for name, one in self.controls.items() if one.kind == "file"]


def forms_of(html: bytes, path: str) -> list[PageForm]:
    """Every form of a page."""
    soup = BeautifulSoup(html, "html.parser")
    return [_form(found, path) for found in soup.find_all("form")]


def _form(tag: Tag, path: str) -> PageForm:
    controls: dict[str, Control] = {}
    for found in tag.find_all(["input", "select", "textarea"]):
        name, kind = str(found.get("name", "")), _kind(found)
        if not name or kind == "submit":
            continue
        if name in controls and kind in {"choice", "many"}:
            controls[name].choices.append(str(found.get("value", "")))
            if found.has_attr("checked"):
                controls[name].value = str(found.get("value", ""))
        else:
            controls[name] = Control(name, kind, _value(found, kind), _choices(found))
    button = next((one for one in tag.find_all("button") if one.get("name")), None)
    pressed = (str(button["name"]), str(button.get("value", ""))) if button else None
    return PageForm(str(tag.get("action") or path), str(tag.get("method", "get")), controls, pressed)


def _kind(tag: Tag) -> str:
    if tag.name == "select":
        return "many" if tag.has_attr("multiple") else "choice"
    kind = str(tag.get("type", "text"))
    if kind == "checkbox":
        return "many" if tag.get("value") not in (None, "on") else "check"
    known = {"radio": "choice", "submit": "submit", "date": "date", "number": "number", "hidden": "hidden"}
    return known.get(kind, kind if kind in {"file", "password"} else "text")


def _value(tag: Tag, kind: str) -> Any:
    if tag.name == "textarea":
        return tag.get_text().removeprefix("\n")
    if tag.name == "select":
        chosen = tag.find("option", selected=True)
        return str(chosen.get("value", "")) if isinstance(chosen, Tag) else ""
    if kind in {"choice", "many"}:
        return str(tag.get("value", "")) if tag.has_attr("checked") else ""
    return str(tag.get("value", ""))


def _choices(tag: Tag) -> list[str]:
    if tag.name == "select":
        return [str(option.get("value", "")) for option in tag.find_all("option")]
    return [str(tag.get("value", ""))]


def wrong_files() -> dict[str, SimpleUploadedFile]:
    """Files that are not what any field asks for."""
    contents = {
        "empty.png": b"",
        "words.png": b"these are only words",
        "page.pdf": b"%PDF-1.7\nnothing else",
        "list.json": b"[]",
        "deep.json": b'{"a":' * 50_000,
        "number.json": b'{"format": "headlap-rule-book/1", "product": 1e999, "topics": NaN, "rules": {}}',
        "page.html": b"<!doctype html><script>alert(1)</script>",
        "shell.svg": b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
        "../../up.png": b"\x89PNG\r\n\x1a\n" + b"\x00" * 40,
        "nul\x00.xlsx": b"PK\x03\x04" + b"\x00" * 60,
        "big.jpg": b"\xff\xd8\xff\xe0" + b"\x00" * (11 * 1024 * 1024),
    }
    return {name: SimpleUploadedFile(name, content) for name, content in contents.items()}
