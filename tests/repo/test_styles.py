"""No style without markup, no class without a style, no token that nothing uses."""

from __future__ import annotations

import re

from repo.tree import STATIC, own_files

SHEETS = {
    path: re.sub(r"/\*.*?\*/", "", path.read_text("utf-8"), flags=re.DOTALL)
    for path in sorted([*(STATIC / "css").glob("*.css"), *(STATIC / "js" / "exercises").glob("*.css")])
}
CSS = "".join(SHEETS.values())
STYLED = set(re.findall(r"\.([a-z][\w-]*)", re.sub(r'"[^"]*"|\d\.\d\w*', "", CSS, flags=re.I), flags=re.I))


def pages() -> str:
    return "".join(path.read_text("utf-8") for path in own_files(".js", ".html") if STATIC in path.parents)


def is_word_of(name: str, text: str) -> bool:
    return re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", text) is not None


def test_every_class_with_a_style_is_some_elements() -> None:
    text = pages()
    assert len(STYLED) > 100
    assert {name for name in STYLED if not is_word_of(name, text)} == set()


def test_every_class_in_markup_has_a_style() -> None:
    named = {name for found in re.findall(r'class="([^"$]*)"', pages()) for name in found.split()}
    assert len(named) > 100
    assert named - STYLED == set()


def test_every_token_is_used_and_every_token_used_exists() -> None:
    tokens = set(re.findall(r"(--[\w-]+):", SHEETS[STATIC / "css" / "tokens.css"]))
    used = set(re.findall(r"var\((--[\w-]+)", CSS))
    text = pages()
    assert {token for token in tokens - used if f"'{token}'" not in text} == set()
    set_somewhere = set(re.findall(r"(--[\w-]+)\s*:", CSS)) | set(re.findall(r"'(--[\w-]+)'", text))
    assert used - set_somewhere == set()


def test_every_attribute_that_a_style_asks_for_is_set_by_some_script() -> None:
    text = pages()
    asked = set(re.findall(r"\[(data-[\w-]+)", CSS))
    assert asked
    unset = {name for name in asked if not any(is_word_of(way, text) for way in (name, camel(name)))}
    assert unset == set()


def camel(attribute: str) -> str:
    return re.sub(r"-(\w)", lambda found: found[1].upper(), attribute.removeprefix("data-"))
