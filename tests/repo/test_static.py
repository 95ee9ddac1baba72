"""The pages work under `script-src 'self'` with no internet; colours are in one file; js/core is pure."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from copyroom.core.advice.pace import HELD
from repo.tree import STATIC, own_files

TOKENS = STATIC / "css" / "tokens.css"
RAW_COLOUR = re.compile(r"#(?:[0-9a-f]{2}){3,4}\b|\b(?:rgb|hsl|hwb|lab|lch|oklab|oklch)a?\(", re.I)
"""Short forms like #fff are left to the CSS linter: in a script they could be anything."""


def pages() -> list[Path]:
    return [path for path in own_files(".html") if STATIC in path.parents]


class Inline(HTMLParser):
    """Collects what a strict content policy refuses, and what would be fetched from elsewhere."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "style" or (tag == "script" and not given.get("src")):
            self.found.append(f"<{tag}>")
        for name, value in attrs:
            if name == "style" or name.startswith("on"):
                self.found.append(f"<{tag} {name}>")
            if name in ("src", "href", "action") and re.match(r"(?:[a-z][a-z+.-]*:|//)", value or "", re.I):
                self.found.append(f"<{tag} {name}={value}>")


def inline(html: str) -> list[str]:
    parser = Inline()
    parser.feed(html)
    return parser.found


def test_pages_hold_no_inline_script_or_style_and_fetch_nothing_from_elsewhere():
    assert pages()
    assert {str(path): found for path in pages() if (found := inline(path.read_text("utf-8")))} == {}


@pytest.mark.parametrize(
    "html",
    [
        "<script>go()</script>",
        '<script type="importmap">{}</script>',
        "<style>p { color: red }</style>",
        '<p style="color: red">',
        '<button onclick="go()">',
        '<a href="javascript:go()">',
        '<script src="https://example.org/x.js"></script>',
        '<link rel="stylesheet" href="//example.org/x.css">',
    ],
)
def test_inline_and_foreign_parts_are_noticed(html: str):
    assert inline(html)


def test_only_the_tokens_hold_raw_colours():
    sources = [
        path for path in own_files(".css", ".html", ".js") if STATIC in path.parents and path != TOKENS
    ]
    texts = {path: path.read_text("utf-8") for path in sources}
    # A browser reads the colour of its own frame from the markup; no stylesheet can give it.
    texts = {path: re.sub(r'<meta\s+name="theme-color"[^>]*>', "", text) for path, text in texts.items()}
    found = {str(path): match.group() for path, text in texts.items() if (match := RAW_COLOUR.search(text))}
    assert found == {}
    assert RAW_COLOUR.search(TOKENS.read_text("utf-8"))


def test_core_scripts_import_only_core_and_the_wire():
    # That they know no document, no audio and no socket is checked by types: tests/web/tsconfig.core.json.
    core = [path for path in own_files(".js") if STATIC / "js" / "core" in path.parents]
    imports = {
        (path.name, source)
        for path in core
        for source in re.findall(r"""(?:\bfrom|\bimport\(?)\s*["']([^"']+)["']""", path.read_text("utf-8"))
    }
    assert core
    assert {pair for pair in imports if not re.fullmatch(r"\./[\w-]+\.js|\.\./wire\.js", pair[1])} == set()


def test_pages_judge_a_share_no_milder_than_the_advice_and_in_one_place():
    texts = {path: path.read_text("utf-8") for path in own_files(".js", ".css") if STATIC in path.parents}
    well_heard = re.findall(r"const WELL_HEARD = ([\d.]+);", "".join(texts.values()))
    assert len(well_heard) == 1
    assert float(well_heard[0]) >= HELD, "no page praises what the advice calls not held"
    drawn = re.compile(r"\b90%|\b90 %|\b0\.9 \*|GOAL")  # a mark at the share of a well-known rule
    assert {path for path, text in texts.items() if drawn.search(text)} == set()


def test_every_field_on_the_wire_is_read_or_sent_by_some_script():
    """By its name alone: a name that two messages share is found when either of them uses it."""
    types = (STATIC / "js" / "wire.d.ts").read_text("utf-8")
    scripts = "".join(path.read_text("utf-8") for path in own_files(".js") if STATIC in path.parents)
    code = re.sub(r"/\*.*?\*/|//[^\n]*", "", scripts, flags=re.DOTALL)
    fields = set(re.findall(r"^  (\w+)\??:", types, re.MULTILINE))
    assert len(fields) > 150
    assert {name for name in fields if not re.search(rf"\b{name}\b", code)} == set()
