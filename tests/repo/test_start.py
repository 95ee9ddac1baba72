"""scripts/start.py on a machine that has nothing but Python."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from repo.tree import ROOT, project_files

NO_NETWORK = {
    # Nothing listens at the discard port of this machine.
    "PIP_INDEX_URL": "http://127.0.0.1:9/",
    "PIP_CONFIG_FILE": os.devnull,
}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The project as someone who downloaded it has it, in a folder with a name that is not ASCII."""
    folder = tmp_path / "Kurs Überlingen"
    for path in project_files():
        target = folder / path.relative_to(ROOT)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, target)
    return folder


def start(folder: Path, *args: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PIP_", "PYTHON"))}
    command = [sys.executable, "scripts/start.py", *args]
    return subprocess.run(
        command, cwd=folder, env=kept | NO_NETWORK, capture_output=True, text=True, stdin=subprocess.DEVNULL
    )


def test_first_start_without_network_says_so_in_one_line(copy: Path):
    ran = start(copy)
    assert ran.returncode == 2
    assert ran.stderr.splitlines() == [
        "The libraries could not be fetched: connect to the internet and try again."
    ]


def test_later_starts_need_no_network(copy: Path):
    # An environment that was made from these files, but cannot install anything: it has no pip.
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(copy / ".venv")], check=True)
    site = Path(sysconfig.get_path("purelib", vars={"base": str(copy / ".venv")}))
    (site / "libraries.pth").write_text(sysconfig.get_path("purelib"))
    stamp = "import environment; environment.write_stamp([])"
    subprocess.run([sys.executable, "-c", stamp], cwd=copy / "scripts", check=True)
    ran = start(copy, "--help")
    assert ran.returncode == 0, ran.stderr
    assert "--with-learners" in ran.stdout


@pytest.mark.parametrize(
    ("argv", "extras"),
    [
        ("--port 9000", []),
        ("--database postgresql://club@localhost/copyroom", ["postgresql"]),
        ("--database=postgresql+psycopg://club@localhost/copyroom", ["postgresql"]),
        ("--database sqlite:////srv/copyroom.sqlite3 --port 9000", []),
    ],
)
def test_another_databases_driver_is_installed_where_it_is_asked_for(argv: str, extras: list[str]):
    code = f"import start; print(start._extras({argv.split()}))"
    said = subprocess.check_output([sys.executable, "-c", code], cwd=ROOT / "scripts", text=True)
    assert said == f"{extras}\n"


def test_a_missing_venv_module_is_told_in_one_line(copy: Path):
    # Debian splits ensurepip off into a package of its own; a finder that hides it stands in for that.
    hide = (
        "import importlib.util as u, runpy, sys; find = u.find_spec;"
        "u.find_spec = lambda name, *more: None if name == 'ensurepip' else find(name, *more);"
        "sys.path.insert(0, 'scripts'); sys.argv = ['start.py'];"
        "runpy.run_path('scripts/start.py', run_name='__main__')"
    )
    ran = subprocess.run([sys.executable, "-c", hide], cwd=copy, capture_output=True, text=True)
    assert ran.returncode == 2
    assert ran.stderr.splitlines() == [
        "Python's venv module is missing. On Debian or Ubuntu: sudo apt install python3-venv"
    ]


def test_a_bench_says_what_an_environment_of_ones_own_lacks(copy: Path):
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(copy / "own")], check=True)
    own = copy / "own" / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    command = [str(own), "scripts/dev.py", "bench", "room"]
    ran = subprocess.run(command, cwd=copy, capture_output=True, text=True)
    assert ran.returncode == 2
    assert ran.stderr.startswith("This environment lacks matplotlib, websockets: ")
    assert ran.stderr.strip().endswith("-m pip install -e '.[test,bench]'")
