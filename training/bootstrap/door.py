"""What each word after manage.py does. Only the start path's own words set things up; the rest goes to Django."""

from __future__ import annotations

import argparse
import os

from training.bootstrap import environment, system
from training.bootstrap.places import STATE, VENV_PYTHON, in_venv, say

REAL_SETTINGS = ("DATABASE_URL", "HEADLAP_SECRET_KEY", "HEADLAP_HOSTS", "HEADLAP_MAIL_URL")
HELP = """Headlap

  python3 manage.py demo      start the demo and print how to sign in   (--port 8000, --host 127.0.0.1)
  python3 manage.py test      run all tests                             (more words go to pytest)
  python3 manage.py install   set up a real, empty installation         (see README.md for its settings)
  python3 manage.py setup     only make .venv and install the packages
  python3 manage.py help      Django's own commands
"""


def main(argv: list[str]) -> int:
    """Runs one command line; returns the exit code."""
    word = argv[1] if len(argv) > 1 else ""
    own = {"demo": _demo, "test": _test, "install": _install, "setup": _setup}
    if word in ("", "-h", "--help"):
        say(HELP)
        return 0
    if word not in own:
        return _django(argv)
    environment.enter(argv)
    return own[word](argv[2:])


def _setup(arguments: list[str]) -> int:
    say("The environment in .venv is ready.")
    return 0


def _test(arguments: list[str]) -> int:
    from training.bootstrap import tests

    return tests.run(arguments)


def _demo(arguments: list[str]) -> int:
    """Prepares and serves the demo. Runs in the environment; the rest of the start needs the packages."""
    parser = argparse.ArgumentParser(prog="manage.py demo", description="Start the demo.")
    parser.add_argument("--port", type=int, default=8000, help="8000 unless told; the next free one if it is taken")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on; 127.0.0.1 keeps it on this machine")
    options = parser.parse_args(arguments)
    system.provide(system.FOR_DEMO)
    _prepare("demo")
    from training.config.start import demo

    return demo(options.host, options.port)


def _install(arguments: list[str]) -> int:
    """Sets up a real installation. More words go to first_officer: --company, --name, --sign-in."""
    system.provide(system.FOR_DEMO)
    _prepare("real")
    from training.config.start import install

    return install(arguments)


def _django(argv: list[str]) -> int:
    """Django's commands. They use the real installation when its settings are there, else the demo's database."""
    if not in_venv() and VENV_PYTHON.exists():
        environment.enter(argv)
    _prepare("real" if any(os.environ.get(name) for name in REAL_SETTINGS) else "demo")
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)
    return 0


def _prepare(mode: str) -> None:
    STATE.mkdir(exist_ok=True)
    if mode == "demo":
        os.environ.setdefault("HEADLAP_MODE", mode)
    else:
        os.environ["HEADLAP_MODE"] = mode
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.config.settings")
