"""The private environment that the other scripts work in: .venv beside pyproject.toml.

Made once, from the pinned versions of constraints.txt. A stamp inside it says what it was made from; while
that holds, nothing is installed and the network is not touched. Standard library only.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
CONSTRAINTS = ROOT / "scripts" / "constraints.txt"
WEB = ROOT / "tests" / "web"

_STAMP = VENV / "copyroom-stamp.txt"
_LOG = VENV / "install.log"
_BUILD = ("hatchling", "editables")
"""What building takes. Installed like the rest rather than fetched anew for each build, as pip would do."""
_NEEDED = {"bench": ("matplotlib", "websockets")}
"""What an extra brings that a contributor's own environment may well lack."""


class Trouble(Exception):
    """Something the user can mend: one sentence."""


def make(*extras: str) -> Path:
    """The environment's Python, with the project and these of its extras installed.

    Raises Trouble when Python's venv is missing, or the libraries cannot be fetched or installed.
    """
    made_from, installed = _read_stamp()
    if made_from == _fingerprint() and installed.issuperset(extras) and PYTHON.exists():
        return PYTHON
    if not _has_pip():
        _create()
    wanted = sorted(installed.union(extras))
    print("Installing the libraries. This happens once, and needs the network.", flush=True)
    _pip("install", *_BUILD)
    project = f"{ROOT}[{','.join(wanted)}]" if wanted else str(ROOT)
    _pip("install", "--no-build-isolation", "--editable", project)
    write_stamp(wanted)
    return PYTHON


def write_stamp(extras: list[str]) -> None:
    """Say that the environment is complete, with these extras."""
    _STAMP.write_text(" ".join([_fingerprint(), *extras]), "utf-8")


def active(*extras: str) -> Path:
    """The Python for a contributor: of the environment that is active, as it is; else the private one.

    The private one gets these extras, `test` when none is named. Raises Trouble when an active one lacks a
    library of theirs: what somebody else made is not changed.
    """
    extras = extras or ("test",)
    if sys.prefix == sys.base_prefix:
        return make(*extras)
    if missing := [name for extra in extras for name in _NEEDED.get(extra, ()) if not _is_there(name)]:
        command = f"{Path(sys.executable).name} -m pip install -e '.[{','.join(extras)}]'"
        raise Trouble(f"This environment lacks {', '.join(missing)}: {command}")
    return Path(sys.executable)


def variables() -> dict[str, str]:
    """The environment variables under which our Python runs.

    The package's folder is named again here because Python before 3.13 misreads an editable install on
    Windows when the folder's name is not ASCII.
    """
    paths = [str(ROOT / "server"), os.environ.get("PYTHONPATH", "")]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))}


def node_packages() -> str:
    """The npm command, with the packages of tests/web installed as its lock file says."""
    npm = shutil.which("npm")
    if npm is None:
        raise Trouble("Checking the pages' scripts needs Node.js 18 or newer, with npm.")
    lock = (WEB / "package-lock.json").read_bytes()
    stamp = WEB / "node_modules" / "copyroom-stamp.txt"
    fingerprint = hashlib.sha256(lock).hexdigest()
    if not stamp.exists() or stamp.read_text("utf-8") != fingerprint:
        if subprocess.run([npm, "ci", "--silent"], cwd=WEB, stdin=subprocess.DEVNULL).returncode:
            raise Trouble("npm could not install the packages of tests/web (this needs the network).")
        stamp.write_text(fingerprint, "utf-8")
    return npm


def _is_there(library: str) -> bool:
    return importlib.util.find_spec(library) is not None


def _fingerprint() -> str:
    """What an environment is made from: another Python, requirement or pin means another environment."""
    digest = hashlib.sha256(str(sys.version_info[:2]).encode())
    for path in (ROOT / "pyproject.toml", CONSTRAINTS):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _read_stamp() -> tuple[str, set[str]]:
    try:
        made_from, *extras = _STAMP.read_text("utf-8").split()
    except (OSError, ValueError):
        return "", set()
    return made_from, set(extras)


def _has_pip() -> bool:
    """Whether the environment works; not after an upgrade of Python, or when making it was interrupted."""
    version = "import pip, sys; print(*sys.version_info[:2])"
    try:
        found = subprocess.run([str(PYTHON), "-c", version], capture_output=True, text=True)
    except OSError:
        return False
    return found.stdout.split() == [str(part) for part in sys.version_info[:2]]


def _create() -> None:
    if any(importlib.util.find_spec(name) is None for name in ("venv", "ensurepip")):
        raise Trouble("Python's venv module is missing. On Debian or Ubuntu: sudo apt install python3-venv")
    command = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    made = subprocess.run(command, capture_output=True, text=True)
    if made.returncode:
        reason = (made.stderr or made.stdout).strip().splitlines()
        raise Trouble(f"Could not make the environment {VENV}: {reason[-1] if reason else 'no reason given'}")


def _pip(*args: str) -> None:
    """Run pip quietly, keeping what it says in a log."""
    command = [str(PYTHON), "-m", "pip", *args, "--constraint", str(CONSTRAINTS), "--retries=2"]
    settings = {**os.environ, "PIP_USER": "0", "PIP_NO_INPUT": "1"}
    ran = subprocess.run(
        command, env=settings, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    said = ran.stdout.decode("utf-8", "replace")
    _LOG.write_text(said, "utf-8")
    if ran.returncode == 0:
        return
    if re.search(r"connection broken|NewConnectionError|NameResolution|Timeout|Max retries", said):
        raise Trouble("The libraries could not be fetched: connect to the internet and try again.")
    errors = re.findall(r"\b\w*(?:Error|ERROR): .*", said) or ["no reason given"]
    raise Trouble(f"The libraries could not be installed: {errors[-1]} (all of it: {_LOG})")
