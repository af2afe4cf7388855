"""Which part may import which, and that the cores run where there is no Django."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.architecture.sources import ROOT, modules

BLOCKED = ("django", "axes", "csp", "crispy_forms", "psycopg", "weasyprint")

# Stands in front of every other finder and refuses Django and what is built on it.
WITHOUT_DJANGO = """
import sys, importlib
class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {blocked!r}:
            raise ImportError(name + " is blocked here")
sys.meta_path.insert(0, Refuse())
for name in {names!r}:
    importlib.import_module(name)
assert not set(sys.modules) & set({blocked!r})
print("imported", len({names!r}))
"""


def _domain_modules() -> list[str]:
    found = [name for name in modules("training", "certificates") if name.parts[1:2] == ("domain",)]
    return [".".join(name.with_suffix("").parts).removesuffix(".__init__") for name in found]


@pytest.mark.system
def test_the_import_contracts_of_pyproject_hold() -> None:
    program = "from importlinter.cli import lint_imports; import sys; sys.exit(lint_imports(no_cache=True))"
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Contracts: 0 kept" not in done.stdout


@pytest.mark.system
def test_every_module_of_the_cores_runs_with_django_blocked() -> None:
    names = _domain_modules()
    assert len(names) > 20
    program = WITHOUT_DJANGO.format(blocked=BLOCKED, names=names)
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == f"imported {len(names)}"


@pytest.mark.system
def test_the_start_path_runs_on_the_standard_library_alone() -> None:
    program = (
        "import pkgutil, importlib, training.bootstrap as b\n"
        "for m in pkgutil.iter_modules(b.__path__): importlib.import_module('training.bootstrap.' + m.name)"
    )
    done = subprocess.run([sys.executable, "-S", "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
