"""DEVELOPERS.md has a table *module, takes, gives*: every module of core and room, and no other.

A package that is one step of the data path (core.alignment) stands there as one row.
"""

from __future__ import annotations

import re

from copyroom.core.advice.policy import POLICY
from repo.tree import PACKAGE, ROOT


def table_modules(text: str) -> set[str]:
    """The first column of the table, as dotted names below the package ("core.alphabet")."""
    rows = [[cell.strip() for cell in line.strip("| \t").split("|")] for line in text.splitlines()]
    heads = [
        i for i, row in enumerate(rows) if [cell.lower() for cell in row] == ["module", "takes", "gives"]
    ]
    assert len(heads) == 1, f"{len(heads)} tables with the columns module, takes, gives"
    names = set()
    for row in rows[heads[0] + 2 :]:
        if len(row) != 3:
            break
        names.add(row[0].strip("`*[] ").removesuffix(".py").replace("/", ".").removeprefix("copyroom."))
    return names


def modules() -> set[str]:
    """The modules of core and room, and the packages that stand for what is in them."""
    names = set()
    for layer in ("core", "room"):
        for path in (PACKAGE / layer).iterdir():
            if (path.suffix == ".py" and path.stem != "__init__") or (path / "__init__.py").exists():
                names.add(f"{layer}.{path.stem}")
    return names


def test_every_core_and_room_module_stands_in_the_table():
    named = table_modules((ROOT / "DEVELOPERS.md").read_text("utf-8"))
    assert {name for name in named if name.startswith(("core.", "room."))} == modules()


def test_a_table_is_read_row_by_row():
    rows = [
        "| Module | Takes | Gives |",
        "|---|---|---|",
        "| `core/text.py` | a | b |",
        "| room.push | a | b |",
    ]
    assert table_modules("\n".join([*rows, "", "after"])) == {"core.text", "room.push"}


def test_tests_that_are_named_exist():
    named = re.findall(r"`(test_\w+)`", (ROOT / "DEVELOPERS.md").read_text("utf-8"))
    assert len(named) > 10
    assert {name for name in named if not list((ROOT / "tests").rglob(f"{name}.py"))} == set()


def test_the_table_of_situations_is_the_policys():
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    rows = [f"| {rule.when} | {rule.then} | {rule.about} |" for rule in POLICY]
    assert "\n".join(rows) + "\n\n" in text
