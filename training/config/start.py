"""Prepares and serves the demo, and sets up a real installation. The start path calls it in the environment."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import django
from django.core.management import CommandError, call_command
from django.db import OperationalError

from training.bootstrap.places import CannotStart, say
from training.bootstrap.postgres import free_port

THREADS = 8


def demo(host: str, wanted_port: int) -> int:
    """Migrates, loads the demo unless there is data, and serves until it is stopped."""
    port = free_port(wanted_port)
    if port != wanted_port:
        say(f"Port {wanted_port} is taken; using {port}.")
    address = f"http://{'localhost' if host in ('127.0.0.1', '0.0.0.0') else host}:{port}"
    os.environ.setdefault("HEADLAP_SITE_URL", address)
    if host not in ("127.0.0.1", "localhost"):
        os.environ.setdefault("HEADLAP_HOSTS", "*")
    django.setup()
    migrate()
    load_demo()
    serve(f"{host}:{port}", ready="\n".join(welcome(address)))
    return 0


def migrate() -> None:
    """Brings the database's tables and the register's guards up to date. Silent when they are."""
    from django.db import connection

    from training.models import triggers

    call_command("migrate", interactive=False, verbosity=0)
    triggers.install(connection)


def load_demo() -> None:
    """Loads the demo as a whole, or leaves the data that is there untouched."""
    from django.apps import apps
    from django.db import transaction

    if apps.get_model("training", "Company")._default_manager.exists():
        return
    say("Loading the demo (once) ...")
    with transaction.atomic():
        call_command("load_demo")


def welcome(address: str) -> Iterator[str]:
    """What the demo prints when it is ready: the address and one sign-in per role."""
    from training.demo import sign_ins

    yield f"\nHeadlap's demo runs at {address}\n"
    yield "Sign in as:"
    for sign_in in sign_ins():
        yield f"  {sign_in}"
    yield "\nAll people, firms and products in it are invented. Its data stays in the folder .headlap/."
    yield "Stop it with Ctrl+C."


def serve(bind: str, ready: str) -> None:
    """Serves with one process and several threads, which is what SQLite likes; prints `ready` once it answers."""
    from gunicorn.app.base import BaseApplication

    class Server(BaseApplication):  # type: ignore[misc]
        def load_config(self) -> None:
            options: dict[str, Any] = {
                "bind": bind,
                "workers": 1,
                "threads": THREADS,
                "loglevel": "warning",
                "when_ready": lambda _server: say(ready),
                "proc_name": "headlap",
            }
            for name, value in options.items():
                self.cfg.set(name, value)

        def load(self) -> Any:
            from training.config.wsgi import application

            return application

    Server().run()


def install(arguments: list[str]) -> int:
    """Real installation: checks, tables, static files, the first company and officer. Safe to run again."""
    django.setup()
    try:
        _install(arguments)
    except OperationalError as error:
        raise CannotStart(
            f"The database at DATABASE_URL does not answer. Start it or correct the setting.\n{error}"
        ) from None
    except CommandError as error:
        raise CannotStart(str(error)) from None
    from django.conf import settings

    say(f"\nIts address is {settings.SITE_URL}")
    say("Serve it behind a web server that speaks https, with the same settings:")
    say("  .venv/bin/gunicorn training.config.wsgi --bind 127.0.0.1:8000 --workers 3 --threads 4")
    return 0


def _install(arguments: list[str]) -> None:
    from django.apps import apps
    from django.conf import settings

    call_command("check", deploy=True, fail_level="WARNING", databases=["default"])
    migrate()
    call_command("collectstatic", interactive=False, verbosity=0)
    Path(settings.MEDIA_ROOT).mkdir(parents=True, exist_ok=True)
    if apps.get_model("training", "Company")._default_manager.exists():
        say("There is a company already; it was left as it is. The tables and static files are up to date.")
    else:
        call_command("first_officer", *arguments)
