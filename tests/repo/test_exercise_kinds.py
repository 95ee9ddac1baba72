"""Every group exercise is whole: its files beside each other, a guide, a row for contributors."""

from __future__ import annotations

import pytest

from copyroom.room.exercises import EXERCISES, load
from repo.tree import ROOT, STATIC

load()
STARTED = sorted(name for name, kind in EXERCISES.items() if kind.title)


@pytest.mark.parametrize("kind", STARTED)
def test_a_kind_has_its_script_style_and_guide(kind: str) -> None:
    script = (STATIC / "js" / "exercises" / f"{kind}.js").read_text("utf-8")
    for view in ("Learner", "Console", "Wall", "SetUp"):
        assert f"export function {view}(" in script, view
    assert (STATIC / "js" / "exercises" / f"{kind}.css").is_file()
    guide = (STATIC / "guide" / f"{kind}.html").read_text("utf-8")
    assert "/static/css/guide.css" in guide
    assert "<h1>" in guide


@pytest.mark.parametrize("kind", STARTED)
def test_a_kind_says_what_it_is_and_stands_in_the_guide_for_contributors(kind: str) -> None:
    assert EXERCISES[kind].hint.endswith(".")
    assert f"`{kind}`" in (ROOT / "DEVELOPERS.md").read_text("utf-8")


@pytest.mark.parametrize("kind", STARTED)
def test_no_hand_written_file_of_the_program_names_a_kind_but_its_own(kind: str) -> None:
    """Adding one touches nothing else: the rest reaches it by the table of kinds."""
    named = [
        path.relative_to(ROOT).as_posix()
        for folder, ending in ((ROOT / "server", "*.py"), (STATIC / "js", "*.js"))
        for path in folder.rglob(ending)
        if f"exercises.{kind} " in (text := path.read_text("utf-8")) or f"exercises/{kind}.js" in text
    ]
    assert named == []
