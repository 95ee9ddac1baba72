"""Imports point one way, and the pure layers stay pure."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import grimp
import pytest

from repo.tree import ROOT

LINT = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"


def lint_imports(root: Path) -> subprocess.CompletedProcess[str]:
    """Check the contracts of pyproject.toml on the package that lies under a folder."""
    code = f"import sys; sys.path.insert(0, {str(root / 'server')!r}); {LINT}"
    return subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True)


def test_imports_keep_the_contracts():
    ran = lint_imports(ROOT)
    assert ran.returncode == 0, ran.stdout + ran.stderr


@pytest.mark.parametrize(
    ("module", "line"),
    [
        ("core/alphabet.py", "import time"),
        ("core/alphabet.py", "import copyroom.room"),
        ("room/__init__.py", "from copyroom import shell"),
        ("shell/__init__.py", "import eventlet"),
        ("unplaced.py", ""),
    ],
)
def test_contracts_notice_a_breach(tmp_path: Path, module: str, line: str):
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    copy = shutil.copytree(ROOT / "server", tmp_path / "server")
    with (copy / "copyroom" / module).open("a") as file:
        file.write(f"\n{line}\n")
    ran = lint_imports(tmp_path)
    assert ran.returncode == 1, ran.stdout + ran.stderr


@pytest.mark.parametrize(("layer", "libraries"), [("core", {"numpy"}), ("room", {"numpy", "msgspec"})])
def test_pure_layers_need_the_standard_library_and_little_else(layer: str, libraries: set[str]):
    graph = grimp.build_graph("copyroom", include_external_packages=True, cache_dir=None)
    pure = [name for name in graph.modules if name.startswith(f"copyroom.{layer}")]
    imported = {imported for name in pure for imported in graph.find_modules_directly_imported_by(name)}
    outside = {name for name in imported if not name.startswith("copyroom")}
    assert outside
    assert outside <= sys.stdlib_module_names | libraries
