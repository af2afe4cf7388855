"""What ships as data: the starter qualification, and the invented demo's rule book, documents and people."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
DEMO = HERE / "demo"


def read_json(path: Path) -> Any:
    """A data file as Python values."""
    return json.loads(path.read_text(encoding="utf-8"))


def starter_qualification() -> dict[str, Any]:
    """The one qualification that ships: setting roof tile in one-component adhesive."""
    found: dict[str, Any] = read_json(HERE / "qualifications" / "tile_adhesive.json")
    return found


def rule_book_schema() -> dict[str, Any]:
    """The format of rule books, as a JSON Schema of draft 2020-12."""
    found: dict[str, Any] = read_json(HERE / "schemas" / "rule_book.schema.json")
    return found


def demo_rule_book() -> dict[str, Any]:
    """The invented adhesive's whole book, joined from one file per topic."""
    return _joined_book(DEMO / "rule_book")


def starter_rule_book() -> dict[str, Any]:
    """A draft to fill from a product's own sheet: rules without numbers, except those of law and standards."""
    return _joined_book(HERE / "starter_rule_book")


def _joined_book(folder: Path) -> dict[str, Any]:
    book: dict[str, Any] = read_json(folder / "book.json")
    book["rules"], book["checklist"] = [], []
    for path in sorted(folder.glob("[0-9]*.json")):
        part = read_json(path)
        book["rules"] += part.get("rules", [])
        book["checklist"] += part.get("checklist", [])
    return book


def demo_documents() -> list[tuple[Path, dict[str, Any]]]:
    """Each demo document with the folder its pictures lie in."""
    return [(path.parent, read_json(path)) for path in sorted((DEMO / "documents").glob("*/document.json"))]


def demo_people() -> dict[str, Any]:
    """The invented companies, crews and people, and what each of them has come to."""
    found: dict[str, Any] = read_json(DEMO / "people.json")
    return found
