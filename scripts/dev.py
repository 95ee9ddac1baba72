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
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

import environment
from environment import ROOT, WEB

BENCHES = ROOT / "tests" / "bench"
BROWSER = ROOT / "tests" / "browser"


class Step(NamedTuple):
    """One command of a check.

    beside : it runs while those after it do, and what it prints comes last.
    waits : not before all that ran beside have ended.
    """

    name: str
    command: list[str]
    folder: Path = ROOT
    beside: bool = False
    waits: bool = False


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


RECORDED = {"recorded", "synchrony"}
"""Names of browser tests with a sound server of their own, which records what the pages play."""
SOUND = {"audio", "hearing", "sidetone"}
"""Of those in which it is timed what a page hands to the browser's audio, or has from it."""


def tests(python: Path, npm: str) -> list[Step]:
    """All tests. Browsers mostly wait, so pages have company; what times real sound comes after them."""
    pytest = [str(python), "-m", "pytest"]
    pages = {str(path.relative_to(ROOT)): path.stem for path in sorted(BROWSER.glob("test_*.py"))}

    def taken(words: set[str]) -> list[str]:
        found = [path for path, name in pages.items() if words & set(name.split("_"))]
        for path in found:
            del pages[path]
        return found

    sound, recorded, first_half = taken(SOUND), taken(RECORDED), taken(_first_half())
    return [
        Step("tests", [*pytest, "--ignore=tests/browser"], beside=True),
        Step("exercises", [*pytest, *first_half], beside=True),
        Step("script tests", [npm, "test", "--silent"], WEB),
        Step("pages", [*pytest, *pages]),
        Step("sound", [*pytest, *sound], waits=True),
        Step("recorded", [*pytest, *recorded]),
    ]


def _first_half() -> set[str]:
    """Group exercises' tests say the kind in their names; some pages are with them, to make halves of all."""
    kinds = {file.stem for file in (ROOT / "static" / "js" / "exercises").glob("*.js")}
    return kinds | {"exercise", "composer", "rooms", "aside", "course", "lesson", "easier"}


class Result(NamedTuple):
    """How a step ended; `output` where it has not been printed yet."""

    name: str
    code: int
    took_s: float
    output: bytes = b""


def _run(step: Step) -> Result:
    start_s = time.monotonic()
    done = subprocess.run(
        step.command,
        cwd=step.folder,
        env=environment.variables(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE if step.beside else None,
        stderr=subprocess.STDOUT if step.beside else None,
    )
    return Result(step.name, done.returncode, time.monotonic() - start_s, done.stdout or b"")


def _ended(beside: list[Future[Result]]) -> list[Result]:
    """What ran beside, waited for and printed."""
    results = [other.result() for other in beside]
    for result in results:
        print(f"\n== {result.name}\n{result.output.decode(errors='replace')}", flush=True)
    return results


def run_steps(steps: list[Step]) -> int:
    """Run every step, whatever fails, and close with a summary. Returns the number of failures."""
    results: list[Result] = []
    with ThreadPoolExecutor() as others:
        beside: list[Future[Result]] = []
        for step in steps:
            if step.waits:
                results += _ended(beside)
                beside = []
            if step.beside:
                beside.append(others.submit(_run, step))
                continue
            print(f"\n== {step.name}", flush=True)
            results.append(_run(step))
        results += _ended(beside)
    print()
    for result in results:
        print(f"{'FAILED' if result.code else 'ok':8}{result.name:14}{result.took_s:7.1f} s")
    failed = sum(result.code != 0 for result in results)
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
