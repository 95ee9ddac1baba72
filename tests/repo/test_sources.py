"""Who is named where: publications by citation, nobody else, and nobody at all on a page."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from repo.tree import PACKAGE, STATIC, own_files

RECOMMENDATION = "Recommendation ITU-R M.1677-1 (10/2009)"
NO_SOURCE = re.compile(r"mailing|mailman|\bforum\b|wikipedia|stackexchange|\.com\b|\bwww\.", re.IGNORECASE)
"""What no fact rests on."""
AUTHOR = re.compile(r"\b(?:Bloom|Gilbert|Pierpont|Norvig|Rothkopf|Cepeda|Latimier|Kang)\b")


@pytest.fixture(scope="module")
def texts() -> dict[Path, str]:
    """What people wrote, but for this file."""
    files = own_files(".py", ".js", ".css", ".html", ".md", ".toml")
    return {path: path.read_text("utf-8") for path in files if path != Path(__file__)}


def prose(text: str) -> str:
    """The words of a file in one line: line breaks and the marks of comments do not part a citation."""
    return re.sub(r"\s*\n\s*(?:\*|//|#)?\s*", " ", text)


def test_the_recommendation_is_cited_in_one_form(texts: dict[Path, str]) -> None:
    cited = [path for path, text in texts.items() if "1677" in text]
    assert len(cited) > 10
    assert [p for p in cited if (text := prose(texts[p])).count("1677") != text.count(RECOMMENDATION)] == []


def test_no_fact_rests_on_a_site_or_a_list(texts: dict[Path, str]) -> None:
    named = {path: found[0] for path, text in texts.items() if (found := NO_SOURCE.search(text))}
    assert named == {}


def test_an_author_is_named_beside_a_publication_alone(texts: dict[Path, str]) -> None:
    """Within a line or so of the name stands a year or an edition."""
    for path, text in texts.items():
        for found in AUTHOR.finditer(one_line := prose(text)):
            around = one_line[max(0, found.start() - 20) : found.end() + 140]
            assert re.search(r"\b(?:19|20)\d\d\b|\bed\.", around), f"{path}: {around}"


def test_no_page_names_an_author(texts: dict[Path, str]) -> None:
    """Not in what scripts hold beside comments, nor in strings that the server may send."""
    for path, text in texts.items():
        if STATIC in path.parents:
            assert not AUTHOR.search(re.sub(r"/\*.*?\*/|//[^\n]*", "", text, flags=re.DOTALL)), path
        elif PACKAGE in path.parents:
            tree = ast.parse(text)
            notes = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
            strings = [n for n in ast.walk(tree) if isinstance(n, ast.Constant) and id(n) not in notes]
            assert [s.value for s in strings if isinstance(s.value, str) and AUTHOR.search(s.value)] == []
