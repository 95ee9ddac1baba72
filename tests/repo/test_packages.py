"""However it is installed, the package finds its pages: every kind of archive carries static/."""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from email import message_from_bytes
from pathlib import Path

import pytest

import vendor
from repo.tree import PACKAGE, ROOT, STATIC, project_files

WORD_LIST = "LicenseRef-SCOWL"
"""The word list's own notice has no identifier that is sure to be its own."""


def relative(paths: list[Path], folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in paths if folder in path.parents}


@pytest.fixture(scope="module")
def archives(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel and the source archive."""
    folder = tmp_path_factory.mktemp("archives")
    build(ROOT, folder, "wheel", "sdist")
    return folder


def build(project: Path, folder: Path, *targets: str) -> None:
    options = [word for target in targets for word in ("-t", target)]
    command = [sys.executable, "-m", "hatchling", "build", "-d", str(folder), *options]
    ran = subprocess.run(command, cwd=project, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stdout + ran.stderr


def wheel_files(folder: Path) -> set[str]:
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        return {name for name in wheel.namelist() if ".dist-info/" not in name}


def test_wheel_holds_the_package_and_the_pages(archives: Path):
    files = project_files()
    pages = {f"copyroom/static/{name}" for name in relative(files, STATIC)}
    code = {f"copyroom/{name}" for name in relative(files, PACKAGE)}
    assert wheel_files(archives) == pages | code


def test_package_names_every_licence_that_it_carries(archives: Path):
    rows = vendor.read_table((vendor.VENDOR / vendor.TABLE).read_text("utf-8"))
    folders = {row.file.split("/")[0] for row in rows}
    with zipfile.ZipFile(next(archives.glob("*.whl"))) as wheel:
        (name,) = [name for name in wheel.namelist() if name.endswith(".dist-info/METADATA")]
        about = message_from_bytes(wheel.read(name))
        held = {name.partition("/licenses/")[2] for name in wheel.namelist() if "/licenses/" in name}
    assert set(about["License-Expression"].split(" AND ")) == {"MIT", WORD_LIST} | {r.licence for r in rows}
    assert set(about.get_all("License-File", [])) == held
    words = "server/copyroom/core/words.LICENSE.txt"
    assert held == {"LICENSE", words} | {f"static/vendor/{folder}/LICENSE" for folder in folders}


def test_source_archive_builds_the_same_wheel(archives: Path, tmp_path: Path):
    with tarfile.open(next(archives.glob("*.tar.gz"))) as archive:
        archive.extractall(tmp_path, filter="data")
    (project,) = tmp_path.iterdir()
    build(project, tmp_path / "wheel", "wheel")
    assert wheel_files(tmp_path / "wheel") == wheel_files(archives)


def test_editable_install_points_at_the_tree_with_the_pages(tmp_path: Path):
    code = f"from hatchling.build import build_editable; build_editable({str(tmp_path)!r})"
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True)
    with zipfile.ZipFile(next(tmp_path.glob("*.whl"))) as wheel:
        (pointer,) = [name for name in wheel.namelist() if name.endswith(".pth")]
        source = Path(wheel.read(pointer).decode().strip())
    assert source / "copyroom" == PACKAGE
    assert (source.parent / "static").samefile(STATIC)


@pytest.mark.parametrize("how", ["wheel", "editable"])
def test_the_installed_package_finds_its_pages(archives: Path, tmp_path: Path, how: str):
    source = ROOT / "server"
    if how == "wheel":
        source = tmp_path
        with zipfile.ZipFile(next(archives.glob("*.whl"))) as wheel:
            wheel.extractall(source)
    code = "from copyroom.shell import assets; print(assets.static_folder())"
    ran = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(source)},
        capture_output=True,
        text=True,
    )
    assert ran.returncode == 0, ran.stderr
    found = Path(ran.stdout.strip())
    assert found.samefile(STATIC if how == "editable" else tmp_path / "copyroom" / "static")
