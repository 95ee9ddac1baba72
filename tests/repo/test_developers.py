"""DEVELOPERS.md has a table *module, takes, gives*: every module of core and room, and no other."""

from __future__ import annotations

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


def test_every_core_and_room_module_stands_in_the_table():
    paths = [path for layer in ("core", "room") for path in (PACKAGE / layer).rglob("[!_]*.py")]
    modules = {".".join(path.relative_to(PACKAGE).with_suffix("").parts) for path in paths}
    named = table_modules((ROOT / "DEVELOPERS.md").read_text("utf-8"))
    assert modules
    assert {name for name in named if name.startswith(("core.", "room."))} == modules
