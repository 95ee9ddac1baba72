"""Everything a contributor does.

    python3 scripts/dev.py check               format, lint, types, styles, layers, what is generated
    python3 scripts/dev.py test [ARGS]         the tests; with arguments, only pytest, which gets them
    python3 scripts/dev.py serve [ARGS]        the server from this folder
    python3 scripts/dev.py build               wheel and source archive, into dist/
    python3 scripts/dev.py bench NAME [ARGS]   one of tests/bench
    python3 scripts/dev.py lock                the newest versions allowed, into scripts/constraints.txt

Works in the virtual environment that is active, else in the private one. Standard library only.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
import venv
from pathlib import Path
from typing import NamedTuple

import environment
from environment import ROOT, WEB

BENCHES = ROOT / "tests" / "bench"


class Step(NamedTuple):
    """One command of a check."""

    name: str
    command: list[str]
    folder: Path = ROOT


def checks(python: Path, npm: str) -> list[Step]:
    """All that can be said without running the product."""

    def run(module: str, *args: str) -> list[str]:
        return [str(python), "-m", module, *args]

    layers = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports())"
    return [
        Step("format", run("ruff", "format", "--check", "--quiet", ".")),
        Step("lint", run("ruff", "check", "--quiet", ".")),
        Step("types", run("mypy")),
        Step("layers", [str(python), "-c", layers]),
        Step("wire", [str(python), "scripts/generate_wire.py", "--check"]),
        Step("vendor", [str(python), "scripts/vendor.py", "--check"]),
        Step("script types", [npm, "run", "--silent", "types"], WEB),
        Step("styles", [npm, "run", "--silent", "styles"], WEB),
    ]


def tests(python: Path, npm: str) -> list[Step]:
    """All tests. Python's last: they take longest."""
    return [
        Step("script tests", [npm, "test", "--silent"], WEB),
        Step("tests", [str(python), "-m", "pytest"]),
    ]


def run_steps(steps: list[Step]) -> int:
    """Run every step, whatever fails, and close with a summary. Returns the number of failures."""
    results: list[tuple[str, int, float]] = []
    for name, command, folder in steps:
        print(f"\n== {name}", flush=True)
        start_s = time.monotonic()
        code = subprocess.call(command, cwd=folder, env=environment.variables(), stdin=subprocess.DEVNULL)
        results.append((name, code, time.monotonic() - start_s))
    print()
    for name, code, took_s in results:
        print(f"{'FAILED' if code else 'ok':8}{name:14}{took_s:7.1f} s")
    failed = sum(code != 0 for _, code, _ in results)
    print(f"steps: {len(results) - failed} passed, {failed} failed", flush=True)
    return failed


def check() -> int:
    return run_steps(checks(environment.active(), environment.node_packages()))


def test(*args: str) -> int:
    python = environment.active()
    if args:
        return _python(python, "-m", "pytest", *args)
    return run_steps(tests(python, environment.node_packages()))


def serve(*args: str) -> int:
    try:
        return _python(environment.active(), "-m", "copyroom", "serve", *args)
    except KeyboardInterrupt:
        return 0


def build() -> int:
    return _python(environment.active(), "-m", "hatchling", "build")


def bench(name: str = "", *args: str) -> int:
    names = sorted(path.stem for path in BENCHES.glob("*.py") if "\ndef main(" in path.read_text("utf-8"))
    if name not in names:
        raise environment.Trouble(f"There is no bench {name!r}; there are: {', '.join(names)}.")
    paths = "import sys; sys.path.insert(0, 'tests')"
    run = f"from bench.{name} import main; sys.exit(main(sys.argv[1:]))"
    return _python(environment.active("test", "bench"), "-c", f"{paths}; {run}", *args)


def lock() -> int:
    """Resolve every requirement anew in an empty environment, and pin what comes out."""
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = Path(folder) / environment.PYTHON.relative_to(environment.VENV)
        # colorama: what only Windows asks for.
        packages = ["hatchling", "editables", "colorama", f"{ROOT}[bench,postgresql,test]"]
        if _python(python, "-m", "pip", "install", "--quiet", *packages):
            return 1
        frozen = subprocess.check_output([str(python), "-m", "pip", "freeze"], text=True)
    pins = [line for line in frozen.splitlines() if re.fullmatch(r"[\w.-]+==[\w.]+", line)]
    head = "# Every version the product and its tests run with. Refresh: python3 scripts/dev.py lock"
    environment.CONSTRAINTS.write_text("\n".join([head, *pins, ""]), "utf-8")
    print(f"{len(pins)} pins")
    return 0


def _python(python: Path, *args: str) -> int:
    return subprocess.call([str(python), *args], cwd=ROOT, env=environment.variables())


COMMANDS = {"check": check, "test": test, "serve": serve, "build": build, "bench": bench, "lock": lock}


def main(argv: list[str]) -> int:
    if not argv or argv[0] not in COMMANDS:
        print(__doc__, file=sys.stderr)
        return 2
    name, *args = argv
    if args and name not in ("test", "serve", "bench"):
        print(f"{name} takes no arguments", file=sys.stderr)
        return 2
    try:
        return 1 if COMMANDS[name](*args) else 0
    except environment.Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
