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
    """Short words that a room code can begin with: plain to say and to spell."""
    return tuple(word for word in words() if 4 <= len(word) <= 6 and word.isalpha())
