"""Files that come with the package: the browser's side and the word list."""

from __future__ import annotations

from importlib import resources
from pathlib import Path


def static_folder() -> Path:
    """Beside the package's modules in a wheel, at the top of the project in a checkout."""
    package = Path(str(resources.files("copyroom")))
    for folder in (package / "static", package.parent.parent / "static"):
        if (folder / "vendor").is_dir():
            return folder
    raise FileNotFoundError("The pages of Copyroom are missing: reinstall the package.")


def words() -> tuple[str, ...]:
    """The word list, most useful words first as the file has them."""
    return tuple((resources.files("copyroom") / "core" / "words.txt").read_text("utf-8").split())


def code_words() -> tuple[str, ...]:
    """The words of room codes: things that can be seen and touched, unlike each other to say and to spell."""
    return tuple((resources.files("copyroom") / "shell" / "code_words.txt").read_text("ascii").split())
