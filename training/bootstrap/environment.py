"""Makes .venv and installs .requirements.txt into it, once per content of that file."""

from __future__ import annotations

import hashlib
import importlib.util
import os
import subprocess
import sys

from training.bootstrap.places import REQUIREMENTS, ROOT, VENV, VENV_PYTHON, CannotStart, in_venv, say
from training.bootstrap.system import install

OLDEST = (3, 11)
STAMP = VENV / "headlap-installed"
# Settings of a user's pip that would send packages elsewhere than into .venv.
REDIRECTS = ("USER", "TARGET", "PREFIX", "ROOT", "PYTHON", "REQUIRE_VIRTUALENV", "NO_DEPS", "DRY_RUN", "REQUIREMENT")


def enter(argv: list[str]) -> None:
    """Returns inside a ready .venv; outside it, makes the environment and starts this command again in there."""
    if sys.version_info < OLDEST:
        raise CannotStart(f"Headlap needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    if os.name != "posix":
        raise CannotStart("Headlap runs on Linux and macOS. On Windows, use the Windows Subsystem for Linux.")
    if not VENV_PYTHON.exists() or not _works():
        make()
    if not is_installed():
        install_requirements()
    if not in_venv():
        os.execv(VENV_PYTHON, [str(VENV_PYTHON), str(ROOT / "manage.py"), *argv[1:]])


def make() -> None:
    """Creates .venv with the Python that runs now. Also where Debian has left the pip part out of Python."""
    say("Making the environment in .venv (once) ...")
    if in_venv():
        raise CannotStart("The environment in .venv is broken. Remove the folder .venv and start again.")
    if importlib.util.find_spec("ensurepip") and _venv().returncode == 0:
        return
    made = _venv("--without-pip")
    if made.returncode != 0 or not importlib.util.find_spec("pip"):
        version = f"python{sys.version_info[0]}.{sys.version_info[1]}"
        install({f"{version}-venv"}, "to make an environment", needed=True)
        made = _venv()
    if made.returncode != 0:
        raise CannotStart(f"Python could not make the environment .venv:\n{made.stdout}{made.stderr}")


def install_requirements() -> None:
    """Installs the locked packages, each checked against its hash."""
    say("Installing the packages of .requirements.txt into .venv (once, a minute or two) ...")
    has_pip = subprocess.run([VENV_PYTHON, "-c", "import pip"], capture_output=True, check=False).returncode == 0
    pip = [str(VENV_PYTHON), "-m", "pip"] if has_pip else [sys.executable, "-m", "pip", "--python", str(VENV_PYTHON)]
    command = [*pip, "install", "--quiet", "--disable-pip-version-check", "--no-user", "--no-input"]
    command += ["--require-hashes", "-r", str(REQUIREMENTS)]
    done = subprocess.run(command, env=_pip_environment(), capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise CannotStart(f"{done.stderr}\npip could not install the packages. Check the network and start again.")
    STAMP.write_text(_fingerprint())


def is_installed() -> bool:
    """Whether .venv holds exactly what .requirements.txt asks for now."""
    return STAMP.exists() and STAMP.read_text() == _fingerprint()


def _fingerprint() -> str:
    return hashlib.sha256(REQUIREMENTS.read_bytes()).hexdigest()


def _pip_environment() -> dict[str, str]:
    dropped = {f"PIP_{name}" for name in REDIRECTS}
    return {key: value for key, value in os.environ.items() if key not in dropped}


def _venv(*options: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "venv", "--clear", *options, str(VENV)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def _works() -> bool:
    """Whether the environment's Python still starts: it does not after its base Python was removed or renewed."""
    check = "import sys; sys.exit(sys.version_info < (3, 11))"
    return subprocess.run([VENV_PYTHON, "-c", check], capture_output=True, check=False).returncode == 0
