"""What is imported is declared, where it is needed; what is declared is imported, or there is a reason."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

from repo.tree import PACKAGE, ROOT, own_files

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
NOT_IMPORTED = {
    "simple-websocket": "websockets on real threads, found by the socket server itself",
    "psycopg": "named in a database's address",
    "editables": "an editable install is built with it",
    "hatchling": "run as a program",
    "import-linter": "run as a program",
    "mypy": "run as a program",
    "ruff": "run as a program",
}
BENCH = ROOT / "tests" / "bench"


def declared(requirements: list[str]) -> set[str]:
    """The names in a list of requirements, as packages are compared: small, with hyphens."""
    return {plain(re.split(r"[\[<>=~!; ]", one)[0]) for one in requirements}


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def imported(paths: list[Path]) -> set[str]:
    """The packages that these files import, here or there, but for the standard library and our own."""
    ours = {"copyroom", "bench", "repo", *(p.stem for p in own_files(".py") if PACKAGE not in p.parents)}
    found: set[str] = set()
    for path in paths:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                found.add((node.module or "").split(".")[0])
    packages = packages_distributions()
    return {plain(packages.get(name, [name])[0]) for name in found - ours - sys.stdlib_module_names}


PRODUCT = declared(PROJECT["dependencies"])
EXTRAS = {name: declared(list_) for name, list_ in PROJECT["optional-dependencies"].items()}


def test_the_product_declares_what_it_imports() -> None:
    product = imported([path for path in own_files(".py") if PACKAGE in path.parents])
    assert product - PRODUCT == set()
    assert PRODUCT - product - NOT_IMPORTED.keys() == set()


def test_what_tests_and_benches_import_is_declared_by_those_who_need_it() -> None:
    files = [path for path in own_files(".py") if ROOT / "tests" in path.parents]
    benches = imported([path for path in files if BENCH in path.parents])
    tests = imported([path for path in files if BENCH not in path.parents])
    assert tests - PRODUCT - EXTRAS["test"] == set()
    assert benches - PRODUCT - EXTRAS["test"] - EXTRAS["bench"] == set()
    assert EXTRAS["test"] - tests - NOT_IMPORTED.keys() == set()
    assert EXTRAS["bench"] - (benches - tests) == set()


def test_scripts_need_the_standard_library_alone() -> None:
    scripts = [path for path in own_files(".py") if ROOT / "scripts" in path.parents]
    assert imported(scripts) == set()


def test_every_requirement_is_pinned() -> None:
    pins = declared((ROOT / "scripts" / "constraints.txt").read_text("utf-8").splitlines()[1:])
    assert PRODUCT.union(*EXTRAS.values()) - pins == set()
