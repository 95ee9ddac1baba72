"""The project's own files, as the tests of this folder read them."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
STATIC = ROOT / "static"
PACKAGE = ROOT / "server" / "copyroom"


def project_files() -> list[Path]:
    """Every file that git has or would take. Skips the test where there is no git checkout."""
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("not a git checkout: what belongs to the project cannot be told")
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    names = subprocess.check_output(command, cwd=ROOT, text=True).split("\0")
    return [ROOT / name for name in names if name and (ROOT / name).is_file()]


WRITTEN_BY_TOOLS = {"package-lock.json", "wire.js", "wire.d.ts"}


def own_files(*suffixes: str) -> list[Path]:
    """The project's own files with these suffixes: not what is vendored or written by a tool."""
    vendored = STATIC / "vendor"
    return [
        path
        for path in project_files()
        if path.suffix in suffixes and vendored not in path.parents and path.name not in WRITTEN_BY_TOOLS
    ]
