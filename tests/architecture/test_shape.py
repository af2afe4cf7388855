"""Size and shape of the code: short files, short functions, thin views, a docstring on every module."""

from __future__ import annotations

import ast
import statistics

import pytest

from tests.architecture.sources import PACKAGES, ROOT, modules, project_files

LONGEST_FILE = 400
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", *PACKAGES, "templates", "tests"}


def _function_lengths() -> list[int]:
    """Lines of every function in the packages, from `def` to the end, without its docstring."""
    lengths = []
    for name in modules(*PACKAGES):
        for node in ast.walk(ast.parse((ROOT / name).read_text())):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                first = node.body[0]
                doc = first.end_lineno - first.lineno + 1 if ast.get_docstring(node, clean=False) is not None else 0
                lengths.append(node.end_lineno - node.lineno + 1 - doc)
    return lengths


def test_functions_are_short() -> None:
    lengths = _function_lengths()
    assert statistics.median(lengths) < 10
    assert statistics.quantiles(lengths, n=10)[8] < 35


def test_no_file_is_longer_than_400_lines() -> None:
    lines = {str(name): (ROOT / name).read_text().count("\n") for name in modules(*PACKAGES, "tests")}
    assert {name: count for name, count in lines.items() if count > LONGEST_FILE} == {}


def test_every_module_says_what_it_is_for() -> None:
    silent = [
        str(name)
        for name in modules(*PACKAGES, "tests")
        if (text := (ROOT / name).read_text()).strip() and not ast.get_docstring(ast.parse(text))
    ]
    assert silent == []


def test_views_never_reach_into_tables() -> None:
    views = [name for name in modules(*PACKAGES) if name.parts[1] in {"views", "views.py"}]
    assert views
    assert [str(name) for name in views if ".objects" in (ROOT / name).read_text()] == []


def test_the_top_level_is_exactly_what_was_agreed() -> None:
    top = {name.parts[0] for name in project_files()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("package", PACKAGES)
def test_a_template_holds_no_inline_script_or_style(package: str) -> None:
    """The content security policy would refuse them, silently for the reader."""
    bad = ("<style", " style=", " onclick=", " onchange=", " onsubmit=", "javascript:", "hx-on", "<script>")
    folders = {"training": ("training", "_partials", "bootstrap5"), "certificates": ("certificates",)}[package]
    pages = [n for n in project_files() if n.parts[0] == "templates" and n.suffix == ".html"]
    found = {
        str(name): mark
        for name in pages
        if name.parts[1] in folders or len(name.parts) == 2
        for mark in bad
        if mark in (ROOT / name).read_text()
    }
    assert found == {}
