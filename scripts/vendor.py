"""Copy the browser's third-party files into static/vendor, so that a class needs no internet.

    python3 scripts/vendor.py            write static/vendor anew
    python3 scripts/vendor.py --check    say what differs, change nothing

The versions are those pinned in tests/web/package.json; `npm ci` there has checked their hashes. Pages
import by relative path (`script-src 'self'`, no import map), so a package's import of another package by
name is rewritten, and a script that is small only as one that sets a global says at its end that it exports
it. Nothing else is changed, but that notes pointing to source maps are dropped: the maps are not shipped,
and a browser with its tools open would ask for them.

Standard library only.
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ROOT / "tests" / "web" / "node_modules"
VENDOR = ROOT / "static" / "vendor"
TABLE = "VENDOR.md"

OURS = re.compile(r"preact\.js|.*\.d\.ts")
"""Files of static/vendor that are this project's own: what the views import, and types for tsc."""


class Package(NamedTuple):
    """What is taken from one package: (its file, its name under static/vendor)."""

    name: str
    files: list[tuple[str, str]]


def _font(family: str) -> Package:
    """Upright only, Latin and the extended Latin of Europe's nicknames: the pages use no other."""
    return Package(
        f"@fontsource-variable/{family}",
        [(f"files/{family}-{s}-wght-normal.woff2", f"{family}/{s}.woff2") for s in ("latin", "latin-ext")]
        + [("LICENSE", f"{family}/LICENSE"), ("index.css", f"{family}/font.css")],
    )


TAKEN = [
    Package(
        "preact",
        [
            ("dist/preact.module.js", "preact/preact.js"),
            ("hooks/dist/hooks.module.js", "preact/hooks.js"),
            ("LICENSE", "preact/LICENSE"),
        ],
    ),
    Package("htm", [("dist/htm.module.js", "htm/htm.js"), ("LICENSE", "htm/LICENSE")]),
    Package(
        "socket.io-client",
        [
            ("dist/socket.io.esm.min.js", "socket.io-client/socket.io.js"),
            ("LICENSE", "socket.io-client/LICENSE"),
        ],
    ),
    Package(
        "uplot",
        [
            ("dist/uPlot.iife.min.js", "uplot/uplot.js"),
            ("dist/uPlot.min.css", "uplot/uplot.css"),
            ("LICENSE", "uplot/LICENSE"),
        ],
    ),
    _font("atkinson-hyperlegible-next"),
    _font("atkinson-hyperlegible-mono"),
]


class Row(NamedTuple):
    """One line of the table."""

    file: str
    package: str
    version: str
    licence: str
    sha256: str


def adapted(name: str, content: bytes) -> bytes:
    """The content as the pages need it: see the head of this file."""
    if not name.endswith((".js", ".css")):
        return content
    text = content.decode()
    text = re.sub(r"\n?//# sourceMappingURL=\S*\s*$", "\n", text)
    text = text.replace('from"preact"', 'from"./preact.js"')
    if made := re.match(r"\s*(?:/\*!.*?\*/\s*)?var (\w+)=function\(\)", text):
        text = f"{text.rstrip()}\nexport default {made[1]};\n"
    text = re.sub(r"\./files/[a-z-]+?-(latin(?:-ext)?)-wght-normal\.woff2", r"./\1.woff2", text)
    return text.encode()


def build() -> tuple[dict[str, bytes], list[Row]]:
    """Every vendored file and its row. Raises FileNotFoundError when the packages are not installed."""
    files: dict[str, bytes] = {}
    rows: list[Row] = []
    for package in TAKEN:
        about = json.loads((PACKAGES / package.name / "package.json").read_text("utf-8"))
        for source, name in package.files:
            files[name] = adapted(name, (PACKAGES / package.name / source).read_bytes())
            sha256 = hashlib.sha256(files[name]).hexdigest()
            rows.append(Row(name, package.name, about["version"], about["license"], sha256))
    return files, rows


def table(rows: list[Row]) -> str:
    """The rows as the text of VENDOR.md."""
    head = "# Third-party files\n\nWritten by `scripts/vendor.py`, which says what it changes. Do not edit.\n"
    lines = ["| " + " | ".join(row) + " |" for row in [Row(*Row._fields), Row(*["---"] * 5), *rows]]
    return "\n".join([head, *lines, ""])


def read_table(text: str) -> list[Row]:
    """The rows of a VENDOR.md."""
    lines = [line.strip("| ").split(" | ") for line in text.splitlines() if line.startswith("|")]
    return [Row(*cells) for cells in lines[2:]]


def on_disk() -> dict[str, bytes]:
    """The third-party files that are there, and the table."""
    files = {path.relative_to(VENDOR).as_posix(): path for path in VENDOR.rglob("*") if path.is_file()}
    return {name: path.read_bytes() for name, path in files.items() if not OURS.fullmatch(name)}


def main(argv: list[str]) -> int:
    try:
        files, rows = build()
    except FileNotFoundError as error:
        print(f"{error.filename} is missing: run `npm ci` in tests/web first", file=sys.stderr)
        return 2
    wanted = {**files, TABLE: table(rows).encode()}
    there = on_disk()
    wrong = sorted(name for name in wanted.keys() | there.keys() if wanted.get(name) != there.get(name))
    if argv == ["--check"]:
        for name in wrong:
            print(f"static/vendor/{name} is not what scripts/vendor.py writes", file=sys.stderr)
        return 1 if wrong else 0
    for name in wrong:
        path = VENDOR / name
        if name in wanted:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(wanted[name])
        else:
            path.unlink()
    print(f"{len(files)} files, {sum(map(len, files.values())):,} bytes, {len(wrong)} changed")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
