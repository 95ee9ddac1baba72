"""What is vendored is what the packages gave, with a licence each, and small."""

from __future__ import annotations

import hashlib
import json
import re

import vendor
from repo.tree import ROOT

BUDGET_BYTES = 200_000
"""All that a first visit can load of others' work, licences included: under two seconds at 1 Mbit/s."""
ON_DEMAND = {"uplot": 60_000}
"""Bytes of what no page loads before somebody asks for it: the instructor's curves."""

ROWS = vendor.read_table((vendor.VENDOR / vendor.TABLE).read_text("utf-8"))


def test_vendored_files_are_those_of_the_table():
    sums = {name: hashlib.sha256(content).hexdigest() for name, content in vendor.on_disk().items()}
    del sums[vendor.TABLE]
    assert sums == {row.file: row.sha256 for row in ROWS}


def test_vendored_versions_are_those_that_are_pinned():
    pinned = json.loads((ROOT / "tests" / "web" / "package.json").read_text("utf-8"))["dependencies"]
    assert {row.package: row.version for row in ROWS} == pinned


def test_every_vendored_folder_has_its_licence():
    folders = {row.file.split("/")[0] for row in ROWS}
    assert folders
    for folder in folders:
        assert "permission" in (vendor.VENDOR / folder / "LICENSE").read_text("utf-8").lower()


def test_vendored_files_stay_within_their_budget():
    on_disk = vendor.on_disk()
    late = {folder: 0 for folder in ON_DEMAND}
    first = 0
    for name, content in on_disk.items():
        folder = name.split("/")[0]
        if folder in late:
            late[folder] += len(content)
        else:
            first += len(content)
    assert first < BUDGET_BYTES
    assert {folder for folder, size in late.items() if not 0 < size < ON_DEMAND[folder]} == set()


def test_what_is_loaded_on_demand_is_imported_by_no_page_at_first():
    scripts = [path.read_text("utf-8") for path in (ROOT / "static" / "js").rglob("*.js")]
    for folder in ON_DEMAND:
        needing = [text for text in scripts if f"vendor/{folder}/" in text]
        assert needing
        assert [text for text in needing if re.search(rf"from '[^']*vendor/{folder}/", text)] == []


def test_vendored_scripts_import_by_path_and_evaluate_no_text():
    scripts = [path for path in vendor.VENDOR.rglob("*.js")]
    assert scripts
    for path in scripts:
        text = path.read_text("utf-8")
        sources = re.findall(r"""(?:\bfrom|\bimport)\s*["']([^"']+)["']""", text)
        assert [source for source in sources if not (path.parent / source).is_file()] == []
        assert not re.search(r"\beval\(|new Function\(", text)
