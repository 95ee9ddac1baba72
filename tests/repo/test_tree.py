"""The project's outside: its top level, its lock files, and nothing of the machine it was written on."""

from __future__ import annotations

import json
import re
from collections import Counter

from repo.tree import ROOT, own_files, project_files

TOP = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "scripts", "server", "static", "tests"}


def test_nothing_else_lies_at_the_top():
    top = {path.relative_to(ROOT).parts[0] for path in project_files()}
    assert {name for name in top if not name.startswith(".")} == TOP


def test_python_lock_pins_every_line_and_names_no_address():
    lines = (ROOT / "scripts" / "constraints.txt").read_text("utf-8").splitlines()
    pins = [line for line in lines if not line.startswith("#")]
    assert pins
    assert [line for line in pins if not re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][A-Za-z0-9.]*", line)] == []


def test_python_lock_pins_every_requirement_of_the_project():
    named = re.findall(
        r'^    "([A-Za-z0-9-]+)(?:\[\w+\])?>=', (ROOT / "pyproject.toml").read_text("utf-8"), re.M
    )
    pinned = re.findall(r"^([^=#\n]+)==", (ROOT / "scripts" / "constraints.txt").read_text("utf-8"), re.M)
    assert "flask" in named
    assert set(named) - {pin.lower().replace("_", "-") for pin in pinned} == set()


def test_node_lock_names_hashes_and_no_address():
    lock = json.loads((ROOT / "tests" / "web" / "package-lock.json").read_text("utf-8"))
    packages = {name: package for name, package in lock["packages"].items() if name}
    assert packages
    assert [name for name, package in packages.items() if "resolved" in package] == []
    assert [name for name, package in packages.items() if "integrity" not in package] == []


def test_no_two_test_files_have_one_name():
    """One command collects them all, and knows a file by its name."""
    names = Counter(path.name for path in own_files(".py") if path.name.startswith("test_"))
    assert [name for name, count in names.items() if count > 1] == []


def test_no_file_names_a_folder_of_someones_machine():
    machine_path = re.compile(r"(?<![\w.~}/])(?:/(?:home|root|work|Users)/|[A-Z]:\\Users\\)\w")
    suffixes = (".py", ".js", ".css", ".html", ".md", ".json", ".toml", ".txt", ".svg", "")
    found = {
        str(path): match.group()
        for path in own_files(*suffixes)
        if (match := machine_path.search(path.read_text("utf-8")))
    }
    assert found == {}
