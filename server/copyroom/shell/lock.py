"""One server to a database: a lock that the system frees by itself when its holder ends, however it ends."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import BinaryIO


class AlreadyRunningError(Exception):
    """Another server has this database; the sentence says where it runs."""


LOCKED_BYTE = 1 << 20
"""Far behind what the file says, which must stay readable: on Windows locked bytes are not."""

if sys.platform == "win32":
    import msvcrt

    def _lock(file: BinaryIO) -> None:
        file.seek(LOCKED_BYTE)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(file: BinaryIO) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def lock(path: Path, address: str) -> BinaryIO:
    """Take the lock for as long as the file that is returned stays open, and note `address` in it.

    Raises AlreadyRunningError when another process has it, OSError when the folder cannot be written.
    """
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)  # names, copies and seats' tokens lie there
    file = open(os.open(path, os.O_RDWR | os.O_CREAT, 0o600), "r+b")  # noqa: SIM115
    try:
        _lock(file)
    except OSError:
        file.close()
        where = path.read_text("utf-8", "replace").strip()
        raise AlreadyRunningError(
            f"Copyroom already runs with the folder {path.parent}{where and f', at {where}'}."
            " Use that one or end it first; a second one needs another --data FOLDER and another --port."
        ) from None
    file.truncate(0)
    file.seek(0)
    file.write(f"{address}\n".encode())
    file.flush()
    return file
