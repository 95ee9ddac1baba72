"""The README leads over the screen as it is."""

from __future__ import annotations

import re

from repo.tree import ROOT, STATIC

NO_LABELS = {"the console's link", "the join address"}


def section(title: str) -> str:
    text = (ROOT / "README.md").read_text("utf-8")
    return text.partition(f"\n## {title}\n")[2].partition("\n## ")[0]


def test_every_label_of_the_readme_stands_on_the_console() -> None:
    folders = [STATIC / "js" / part for part in ("view/console", "view/parts", "core")]
    scripts = "".join(path.read_text("utf-8") for folder in folders for path in folder.rglob("*.js"))
    for title in ("Start tonight", "A class over the internet"):
        bold = re.findall(r"\*\*(.+?)\*\*", section(title), re.DOTALL)
        labels = {" ".join(found.split()) for found in bold}
        assert len(labels) >= 3
        assert {label for label in labels - NO_LABELS if label not in scripts} == set()


def test_the_readme_says_first_for_whom_it_is_and_the_whole_job() -> None:
    first = (ROOT / "README.md").read_text("utf-8").split("\n\n")[1].replace("\n", " ")
    for part in ("for whoever teaches", "same tones at the same moment", "what to send next", "to review"):
        assert part in first
